"""Bikes, the parts on them and how far they went."""

from django.db import models
from django.db.models import F, Q

from pinchbolt.records.models.event import EventRow
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.owner import Owner, note_look_up
from pinchbolt.records.models.row import RecordRow

# How a fact of a part is known, the weightiest first; only the first three are of a hand that looked.
SOURCES = ("read off the part", "measured", "maker's sheet", "records", "owner's word", "template", "guess")

# What a bike's own display may show. [km, h, cycles]
DISPLAYED = ("odometer", "motor hours", "charge cycles")

# What an owner says of a part that was on the bike before the records began.
ALL_ALONG, A_DAY = "all along", "a day"

# Where a part went when it came off.
GONE_TO = ("moved", "bins", "owner", "scrap", "never there")


_FOUND_BY = frozenset(("tag", "owner", "words", "frame_number"))


class Bike(RecordRow):
    """One frame with what is fitted to it.

    `facts` holds interface facts for the fit rules by input name, `joints` the names of the joints on this bike (an id of the
    joints table, with ":front" or ":rear" where it has two of a kind); both, and `speeds`, are of older records, where the
    parts themselves did not say. The distance a week is the owner's word (km), used where nothing better is known.
    `came_with` is whose it is by itself, where `owner` is somebody with whom that owner was merged.
    """

    tag = models.CharField(max_length=12, unique=True)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="bikes")
    came_with = models.ForeignKey(
        Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="bikes_brought"
    )
    kind = models.CharField(max_length=20)
    words = models.CharField(max_length=200)
    frame_number = models.CharField(max_length=60, blank=True, db_index=True)
    speeds = models.PositiveSmallIntegerField(null=True, blank=True)
    use_class = models.CharField(max_length=20, default="mixed")
    km_a_week = models.FloatField(null=True, blank=True)
    school = models.CharField(max_length=5, blank=True)
    template = models.CharField(max_length=60, blank=True)
    facts = JsonField(default=dict, blank=True)
    joints = JsonField(default=list, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(km_a_week__isnull=True) | Q(km_a_week__gte=0), name="km_a_week_not_negative"
            ),
            models.CheckConstraint(condition=Q(school__in=["", "early", "late"]), name="bike_school_known"),
        ]

    def __str__(self) -> str:
        return self.tag

    def save(self, *args: object, **named: object) -> None:
        """Write the row, and the words by which its owner is found."""
        super().save(*args, **named)  # type: ignore[arg-type]
        fields = named.get("update_fields")
        if not isinstance(fields, list | tuple | set | frozenset) or _FOUND_BY.intersection(fields):
            note_look_up(self.owner_id)


class Trainer(RecordRow):
    """An indoor trainer that takes a wheel or a bike without its wheel.

    `facts` are those of what stands in place of the rear wheel: its body, its cassette, the ends that it takes. `owner` is whose
    it is (none: the workshop's, or not said).
    """

    name = models.CharField(max_length=120)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="trainers")
    facts = JsonField(default=dict, blank=True)

    def __str__(self) -> str:
        return self.name


class Peg(RecordRow):
    """A place on an owner's wall where wheels hang that are on no bike: they go no distance there."""

    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="pegs")
    words = models.CharField(max_length=120)

    def __str__(self) -> str:
        return self.words


class Part(RecordRow):
    """One physical item of a kind (the id of a row of the kinds' table; held to it at the door, since a table may go away).

    `place` tells two of a kind apart: front, rear, front left. `start_facts` came with the part, {fact: [value, source]}; what
    was read on it since stands in its descriptions. `limits`, `deeper` and `specification` are of older records.
    """

    kind = models.CharField(max_length=60)
    place = models.CharField(max_length=20, blank=True)
    words = models.CharField(max_length=200, blank=True)
    specification = JsonField(default=dict, blank=True)
    limits = JsonField(default=list, blank=True)
    deeper = JsonField(default=list, blank=True)
    start_facts = JsonField(default=dict, blank=True)

    def __str__(self) -> str:
        return f"{self.place} {self.kind}".strip()


_ON = ("bike__isnull", "wheel__isnull", "trainer__isnull", "peg__isnull")


def _fitted_to_one_thing() -> Q:
    """On a bike, a wheel, a trainer or a peg, and on nothing else."""
    found = Q()
    for thing in _ON:
        found |= Q(**{one: one != thing for one in _ON})
    return found


class Fitting(RecordRow):
    """A part being on a bike, a wheel, an indoor trainer or a peg, from a day to a day (none = still there).

    `start_known` is False where the part was on the bike before the records began. `since_said` is then what the owner says of it:
    "a day" (it is the start, and `seen_from` the day on which it was first seen here), "all along" (as long as they have the
    bike), or nothing. `gone_to` says where it went when it came
    off (empty: not said); "never there" is a slip of the build sheet, which was not part of the bike's life.
    """

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="fittings")
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, null=True, blank=True, related_name="fittings")
    wheel = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="carried")
    trainer = models.ForeignKey(
        Trainer, on_delete=models.PROTECT, null=True, blank=True, related_name="fittings"
    )
    peg = models.ForeignKey(Peg, on_delete=models.PROTECT, null=True, blank=True, related_name="fittings")
    start = models.DateField()
    start_known = models.BooleanField(default=True)
    since_said = models.CharField(max_length=12, blank=True, default="")
    seen_from = models.DateField(null=True, blank=True)
    end = models.DateField(null=True, blank=True)
    gone_to = models.CharField(max_length=12, blank=True, default="")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(gone_to="") | (Q(gone_to__in=GONE_TO) & Q(end__isnull=False)),
                name="gone_only_where_it_ended",
            ),
            models.CheckConstraint(
                condition=_fitted_to_one_thing(),
                name="fitted_to_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(end__isnull=True) | Q(end__gte=F("start")), name="fitting_ends_after_it_starts"
            ),
            models.UniqueConstraint(
                fields=["part"], condition=Q(end__isnull=True), name="part_fitted_once_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part} from {self.start}"


class PartDescription(EventRow):
    """What was said of a part at one time: {fact: value}, null where a fact was taken off again, and how all of it is known."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="descriptions")
    facts = JsonField(default=dict)
    source = models.CharField(max_length=20)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(source__in=SOURCES), name="description_source_known"),
        ]


class CornerCheck(EventRow):
    """A hand has looked at one corner of a bike: the parts shown there are there, and no others."""

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="corner_checks")
    corner = models.CharField(max_length=40)


class Distance(EventRow):
    """How far a bike or an indoor trainer went between two days, and how that is known."""

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, null=True, blank=True, related_name="distances")
    trainer = models.ForeignKey(
        Trainer, on_delete=models.PROTECT, null=True, blank=True, related_name="distances"
    )
    start = models.DateField()
    end = models.DateField()
    km = models.FloatField()
    sd_share = models.FloatField(default=0.15)
    known = models.CharField(max_length=20, default="owner's word")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(km__gte=0) & Q(km__lte=200000), name="distance_km_sane"),
            models.CheckConstraint(condition=Q(end__gte=F("start")), name="distance_ends_after_it_starts"),
            models.CheckConstraint(
                condition=Q(bike__isnull=False, trainer__isnull=True)
                | Q(bike__isnull=True, trainer__isnull=False),
                name="distance_of_one_thing",
            ),
        ]


class Display(EventRow):
    """What a bike's own display showed on a day: its odometer, motor hours, or charge cycles of its battery."""

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="displays")
    what = models.CharField(max_length=20)
    value = models.FloatField()
    day = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(what__in=DISPLAYED), name="display_shows_what_is_known"),
            models.CheckConstraint(condition=Q(value__gte=0) & Q(value__lte=1_000_000), name="display_sane"),
        ]
