"""Questions about the event log as a whole."""

from datetime import datetime

from pinchbolt.records.models import Event


def newest_entry() -> datetime | None:
    """Return when the newest entry was written, or None where nothing is written yet."""
    newest: datetime | None = Event.objects.order_by("-at").values_list("at", flat=True).first()
    return newest
