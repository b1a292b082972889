"""What proves: photos kept beside a marking, a receipt or what broke; what was bought when; claims and what came of them."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.bike import Part
from pinchbolt.records.models.event import Event, EventRow
from pinchbolt.records.models.row import RecordRow
from pinchbolt.records.models.tool import Instrument, Tool

# Where a claim stands after each word about it.
CLAIM_STATES = ("sent", "granted", "refused", "dropped")


def _one_thing(name: str) -> models.CheckConstraint:
    """A row is of a part, a tool or an instrument: of exactly one."""
    of_one = Q()
    for field in ("part", "tool", "instrument"):
        others = {f"{one}__isnull": one != field for one in ("part", "tool", "instrument")}
        of_one |= Q(**others)
    return models.CheckConstraint(condition=of_one, name=name)


class Warranty(EventRow):
    """What is known of how a part, a tool or an instrument was bought; the newest one that stands counts.

    `bought` and `months` are null where nobody knows; `for_life`: as long as it lasts. A receipt's photo hangs on the event.
    """

    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="warranties")
    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="warranties")
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="warranties"
    )
    bought = models.DateField(null=True, blank=True)
    seller = models.CharField(max_length=120, blank=True)
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    for_life = models.BooleanField(default=False)
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            _one_thing("warranty_of_one_thing"),
            models.CheckConstraint(
                condition=Q(months__isnull=True) | Q(for_life=False), name="warranty_months_or_life"
            ),
        ]


class Claim(EventRow):
    """Something that broke and for which somebody else may have to stand: what broke, and when it was found."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="claims")
    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="claims")
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="claims"
    )
    broke = models.CharField(max_length=400)
    day = models.DateField()

    class Meta:
        constraints = [_one_thing("claim_of_one_thing")]


class ClaimMove(EventRow):
    """A word about a claim: it was sent, granted, refused or dropped. `answer_by`: when an answer is asked for again."""

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="moves")
    state = models.CharField(max_length=20)
    words = models.CharField(max_length=200, blank=True)
    answer_by = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(state__in=CLAIM_STATES), name="claim_state_known"),
        ]


class ProofPhoto(RecordRow):
    """A photo beside what it proves: the event of a marking or a warranty, or its own where it shows what a claim is about.

    Small, upright, without place or camera. `words` tell how a marking was read off it. The row can go (its owner erased)
    while the event stays.
    """

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="proof")
    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, null=True, blank=True, related_name="proofs")
    words = models.CharField(max_length=200, blank=True)
    jpeg = models.BinaryField()
