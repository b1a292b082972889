"""A job and what was read, found, proposed, answered and done in it."""

from django.db import models
from django.db.models import F, Q

from pinchbolt.records.models.bike import Bike, Part
from pinchbolt.records.models.event import EventRow
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.owner import Owner
from pinchbolt.records.models.row import RecordRow
from pinchbolt.records.models.tool import Instrument, Tool


class Job(RecordRow):
    """One stay of a bike in the workshop. Its state is what its events say (workshop/acts/state.py); nothing is stored here twice.

    `owner` is whose the bike was at this stay, where it was given over to somebody else since.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="jobs")
    opened_at = models.DateTimeField()
    owner_words = models.TextField(blank=True)
    seen_words = models.TextField(blank=True)
    left_with = models.CharField(max_length=200, blank=True)
    promise = models.DateTimeField(null=True, blank=True)
    spend_limit = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    owner = models.ForeignKey(
        Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="stays_before"
    )

    class Meta:
        indexes = [models.Index(fields=["opened_at"], name="stays_by_day")]

    @property
    def whose(self) -> Owner:
        """Whose the bike was at this stay; of one who was merged into another, that other."""
        found = self.owner or self.bike.owner
        while found.merged_into is not None:
            found = found.merged_into
        return found

    def __str__(self) -> str:
        return f"{self.bike.tag}-{self.pk}"


class Marking(EventRow):
    """A value printed on a part or given by its maker: torque in N·m for a joint, or a wear limit in the limit row's unit.

    `target` is a torque that the part or its maker's sheet plainly names as the one to use; it limits nothing. `part` is the
    word of the joint for what it was read on, `on_part` that part itself: the marking goes with it and ends with it. Without
    one (no such part was on record) the marking is of the joint as such.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="markings")
    joint = models.CharField(max_length=60, blank=True)
    limit = models.CharField(max_length=60, blank=True)
    part = models.CharField(max_length=60)
    greatest = models.FloatField(null=True, blank=True)
    least = models.FloatField(null=True, blank=True)
    target = models.FloatField(null=True, blank=True)
    on_part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="markings"
    )


class Bolt(EventRow):
    """What was read on a joint's bolt: class, how its thread was found prepared, what turns it, its thread, how wide its
    socket is [mm]; '' is not read.

    `on_part` is the part that brought the joint that day: another part has another bolt.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="bolts")
    joint = models.CharField(max_length=60)
    on_part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="bolts_read"
    )
    property_class = models.CharField(max_length=30, blank=True)
    preparation = models.CharField(max_length=30, blank=True)
    drive = models.CharField(max_length=40, null=True, blank=True)
    thread = models.CharField(max_length=20, null=True, blank=True)
    socket_mm = models.FloatField(null=True, blank=True)


class Reading(EventRow):
    """One measured value, interval or yes/no, with instrument, place, day, distance and who (the event's `by`).

    `low`, `high` in `unit`; null = open end. `word` holds 'yes' or 'no' for a flag. `distance_km` is use of the part since it
    was fitted (null = nobody knows) with relative standard deviation `distance_share`.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="readings")
    limit = models.CharField(max_length=60)
    place = models.CharField(max_length=120, blank=True)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="readings"
    )
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    word = models.CharField(max_length=3, blank=True)
    unit = models.CharField(max_length=40)
    distance_km = models.FloatField(null=True, blank=True)
    distance_share = models.FloatField(default=0.15)
    distance_known = models.CharField(max_length=20, default="unknown")
    day = models.DateField()
    day_is_guess = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(low__isnull=True) | Q(high__isnull=True) | Q(high__gte=F("low")),
                name="reading_ordered",
            ),
            models.CheckConstraint(
                condition=Q(distance_km__isnull=True) | Q(distance_km__gte=0),
                name="reading_distance_not_negative",
            ),
        ]


class NotSeen(EventRow):
    """A look or a reading that could not be had, or was not taken: it is no reading, and nothing is known by it.

    `why` is "could not see" or "not looked at". `leaves`: somebody decided that the bike leaves without it, and why (`words`).
    It stands until the part is read at this place (a later reading of the job) or is no longer on the bike.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="not_seen")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="not_seen")
    limit = models.CharField(max_length=60)
    why = models.CharField(max_length=20)
    words = models.CharField(max_length=200, blank=True)
    leaves = models.BooleanField(default=False)


class Finding(EventRow):
    """Something a reading or an eye found. `forecast` and `reasons` are kept as they were said that day."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="findings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="findings")
    reading = models.OneToOneField(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="finding"
    )
    limit = models.CharField(max_length=60, blank=True)
    verdict = models.CharField(max_length=20)
    safety = models.BooleanField(default=False)
    words = models.CharField(max_length=400)
    forecast = JsonField(null=True, blank=True)
    reasons = JsonField(default=list)
    doubts = JsonField(default=list)


class Line(EventRow):
    """One line proposed to the owner. `parts` is a list of {name, each, count, tax_class}; money as text, so that no float touches it.

    `place` is the end at which it is done, and `count` how many times; None on lines of before both were asked. `own_minutes`
    or `own_price` (of its labour, with tax) stand where a hand set them; None: by the menu.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="lines")
    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, null=True, blank=True, related_name="lines"
    )
    operation = models.CharField(max_length=60, blank=True)
    words = models.CharField(max_length=200)
    verdict = models.CharField(max_length=20)
    safety = models.BooleanField(default=False)
    parts = JsonField(default=list)
    joints = JsonField(default=list)
    cost_of_waiting = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    waiting_reasons = JsonField(default=list)
    fit = JsonField(null=True, blank=True)
    place = models.CharField(max_length=20, null=True, blank=True)
    count = models.PositiveSmallIntegerField(null=True, blank=True)
    own_minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    own_price = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)


class Answer(EventRow):
    """The owner's word on one line; a later answer corrects the earlier one.

    `asking` is the number of the asking in which the line's price was told; None on answers of before askings had
    numbers: those stand at the newest asking before them. `said_by` is who said it, where it was not the owner.
    """

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="answers")
    agreed = models.BooleanField()
    how = models.CharField(max_length=40)
    words = models.CharField(max_length=200, blank=True)
    asking = models.PositiveSmallIntegerField(null=True, blank=True)
    said_by = models.CharField(max_length=120, null=True, blank=True)


class DoneValue(EventRow):
    """Torque at which a joint was tightened, as the tool showed it, N·m; none where it was done by hand (`by_hand`)."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="done_values")
    joint = models.CharField(max_length=60)
    tool = models.ForeignKey(
        Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="done_values"
    )
    set_n_m = models.FloatField(null=True, blank=True)
    done_n_m = models.FloatField(null=True, blank=True)
    by_hand = models.BooleanField(default=False)
    inside = models.BooleanField()
    words = models.CharField(max_length=300)

    class Meta:
        indexes = [models.Index(fields=["tool", "event", "joint"], name="bolts_since_an_act")]
        constraints = [
            models.CheckConstraint(
                condition=Q(done_n_m__gt=0, done_n_m__lte=300, by_hand=False)
                | Q(done_n_m__isnull=True, by_hand=True),
                name="done_value_sane",
            )
        ]


class RoundTick(EventRow):
    """One joint of a bolt round: it held at its setting, or it moved and was tightened to `done_n_m`. Torque in N·m.

    Without a tool it was tried by hand.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="round_ticks")
    joint = models.CharField(max_length=60)
    held = models.BooleanField()
    tool = models.ForeignKey(
        Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="round_ticks"
    )
    set_n_m = models.FloatField(null=True, blank=True)
    done_n_m = models.FloatField(null=True, blank=True)
    inside = models.BooleanField()
    words = models.CharField(max_length=300)
    day = models.DateField()

    class Meta:
        indexes = [models.Index(fields=["tool", "event", "joint"], name="tries_since_an_act")]
        constraints = [
            models.CheckConstraint(
                condition=Q(done_n_m__isnull=True) | Q(done_n_m__gt=0, done_n_m__lte=300),
                name="round_tick_sane",
            )
        ]


class ListCheck(EventRow):
    """One item of the sign-off list seen by one person: met or not. `second` marks the second look.

    `unseen`: it could not be seen, which is never met (None: written down before there was this answer).
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="list_checks")
    item = models.CharField(max_length=60)
    met = models.BooleanField()
    second = models.BooleanField(default=False)
    words = models.CharField(max_length=200, blank=True)
    unseen = models.BooleanField(null=True, blank=True)
