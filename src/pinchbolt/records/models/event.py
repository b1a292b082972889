"""The event log: who said, read or did what, when. Rows are only ever added; the database itself refuses the rest."""

from django.db import models


class Event(models.Model):
    """One act. `key` makes a repeated request the same act; `corrects` names the event that this one puts right.

    `fingerprint` is a digest of what was asked, so that one key can't stand for two different acts. `said` is what was asked,
    as JSON, without personal data of owners.
    """

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=40, db_index=True)
    key = models.CharField(max_length=80, unique=True)
    fingerprint = models.CharField(max_length=64)
    job = models.ForeignKey(
        "records.Job", on_delete=models.PROTECT, null=True, blank=True, related_name="events"
    )
    bike = models.ForeignKey(
        "records.Bike", on_delete=models.PROTECT, null=True, blank=True, related_name="events"
    )
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    said = models.JSONField(default=dict)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["bike", "kind", "id"], name="event_of_bike_by_kind")]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"


class EventRow(models.Model):
    """The typed side of an event; it counts as long as no later event corrects it (`event__corrected_by` is empty)."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="%(class)s")

    class Meta:
        abstract = True
