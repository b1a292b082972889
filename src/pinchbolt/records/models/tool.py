"""Instruments that read, tools that tighten, and their checks."""

from django.db import models
from django.db.models import Q

from pinchbolt.records.models.event import EventRow
from pinchbolt.records.models.row import RecordRow


class Instrument(RecordRow):
    """One instrument the workshop owns; `table_id` is its row in the reference tables."""

    table_id = models.CharField(max_length=60)
    name = models.CharField(max_length=120)
    in_use = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.name


class Tool(RecordRow):
    """One tool the workshop owns: where it hangs and, for a torque tool, what its last certificate says.

    `arm_mm` is measured from the drive to the grip mark; of a crow-foot or another adapter from its drive to the bolt.
    """

    table_id = models.CharField(max_length=60)
    name = models.CharField(max_length=120)
    hangs = models.CharField(max_length=60, blank=True)
    arm_mm = models.FloatField(null=True, blank=True)
    in_use = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.name


class InstrumentCheck(EventRow):
    """An instrument against something known: bias = what it showed less what was true, in `unit`."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="checks")
    against = models.CharField(max_length=200)
    bias = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=20, default="percent")
    good = models.BooleanField()
    words = models.CharField(max_length=200, blank=True)
    day = models.DateField()


class ToolCheck(EventRow):
    """A tool against its certificate or a size check; `deviation` is (shown - true) / true at worst."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="checks")
    day = models.DateField()
    due = models.DateField(null=True, blank=True)
    deviation = models.FloatField(null=True, blank=True)
    good = models.BooleanField()
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(deviation__isnull=True) | Q(deviation__gte=0, deviation__lt=1),
                name="deviation_sane",
            ),
        ]
