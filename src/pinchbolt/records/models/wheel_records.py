"""What was said of a wheel's rim, hub and lacing, what was read at its spokes, turned on its nipples, and what broke."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.bike import Part
from pinchbolt.records.models.event import Event, EventRow
from pinchbolt.records.models.job import Job
from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.tool import Tool

# Where a spoke breaks.
BROKE_AT = ("elbow", "thread", "middle", "nipple", "rim hole", "hub flange")


class WheelSaid(EventRow):
    """Rim, hub, lacing and limits of a wheel as they were measured; the newest one counts. `facts` as the plan takes them."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="wheel_said")
    facts = JsonField(default=dict)


class WheelReading(EventRow):
    """One reading of a whole wheel: `spokes` holds a row for each spoke from spoke 1 on.

    A row is side in mm, up in mm, and tension in N with its low and high end, or its share of the side's mean where nobody
    knows a spoke's tension: [side, up, n, low, high, share]; what was not read is null. `dish` in mm. `tool` is the meter; none
    where it was plucked or typed. `tension_sd` in N.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="wheel_readings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="wheel_readings")
    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="wheels")
    how = models.CharField(max_length=20)
    spokes = JsonField(default=list)
    dish = models.FloatField(null=True, blank=True)
    tension_sd = models.FloatField(default=45.0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(how__in=("meter", "newton", "ear")), name="wheel_read_how_known"
            ),
        ]


class NippleTurn(EventRow):
    """A nipple that was turned after a reading, in quarters (above 0 tightens); 0 says that it was not turned after all."""

    reading = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="nipples_turned")
    spoke = models.PositiveSmallIntegerField()
    quarters = models.SmallIntegerField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(quarters__gte=-12, quarters__lte=12), name="quarters_sane"),
        ]


class SpokesHeard(EventRow):
    """Plucked spokes: {spoke: [pitch, its sd]} in Hz. What was recorded is not kept, only what was heard in it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="spokes_heard")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="spokes_heard")
    pitches = JsonField(default=dict)


class BrokenSpoke(EventRow):
    """A spoke that broke: where, which one (unknown where nobody counted), and how far the wheel had gone, in km."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="broken_spokes")
    spoke = models.PositiveSmallIntegerField(null=True, blank=True)
    at = models.CharField(max_length=20)
    distance_km = models.FloatField(null=True, blank=True)
    known = models.CharField(max_length=20, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(at__in=BROKE_AT), name="spoke_broke_at_known")]


class MeterTable(EventRow):
    """A tension meter's own table for one kind of spoke (a row of the tables): [reading, N] pairs."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="meter_tables")
    spoke_kind = models.CharField(max_length=60)
    points = JsonField(default=list)


class MeterCheck(EventRow):
    """A tension meter on a spoke with a known mass hung from it: kg hung, what it showed, how far out it was (0.02 = 2 % high)."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="meter_checks")
    spoke_kind = models.CharField(max_length=60)
    mass_kg = models.FloatField()
    shown = models.FloatField()
    out = models.FloatField()
    good = models.BooleanField()
    words = models.CharField(max_length=200)
    day = models.DateField()
