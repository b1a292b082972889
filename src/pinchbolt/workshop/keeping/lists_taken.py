"""The lists that were taken in, the newest first."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Event


@dataclass(frozen=True, slots=True)
class ListLine:
    """A list: when, who took it in, what came in, and whether it was taken back."""

    event: int
    at: datetime
    by: str
    words: str
    is_back: bool


def lists_taken() -> tuple[ListLine, ...]:
    """Return the lists that were taken in, the newest first."""
    rows = (
        Event.objects.filter(kind="list taken in")
        .select_related("by")
        .prefetch_related("corrected_by")
        .order_by("-pk")
    )
    return tuple(
        ListLine(one.pk, one.at, one.by.name, str(one.said.get("counts", "")), bool(one.corrected_by.all()))
        for one in rows[:50]
    )
