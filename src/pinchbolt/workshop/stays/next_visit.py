"""The next visit: the day that was agreed with the owner, and what waiting costs until then."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from pinchbolt.records.models import Bike, Event, Job, Line
from pinchbolt.records.prepared import prepared
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import events_told
from pinchbolt.workshop.common.from_plain import from_plain
from pinchbolt.workshop.wear.waiting import Waiting

AGREED = "visit agreed"


@once_a_look
def visit_of(bike: Bike) -> date | None:
    """Return the day that was agreed last for a bike, or None; whoever asks sees to it that the day lies ahead.

    It stays through a stay that came in between: who agreed on March and has a flat tyre in January comes in March. Whoever
    had the bike before agreed for themselves alone.
    """
    event = _agreed_with_owner.first(bike.pk)
    return date.fromisoformat(event.said["day"]) if event is not None and event.said["day"] else None


@prepared
def _agreed_with_owner(bike: int) -> QuerySet[Event]:
    rows = Event.objects.filter(bike=bike, kind=AGREED, corrected_by__isnull=True, job__owner__isnull=True)
    return rows.order_by("-pk")[:1]


def visit_ahead(bike: Bike, today: date) -> date | None:
    """Return the day that was agreed for a bike if it lies ahead."""
    day = visit_of(bike)
    return day if day is not None and day > today else None


def waiting_of(job: Job, rows: Iterable[Line]) -> dict[int, Waiting]:
    """Return what was last said of waiting, by line: with the line itself, or anew when a visit was agreed after it."""
    said = {row.pk: Waiting(row.cost_of_waiting, tuple(row.waiting_reasons)) for row in rows}
    for event in events_told(job, AGREED):
        anew = event.said["waiting"]
        said |= {int(line): from_plain(Waiting, told) for line, told in anew.items() if int(line) in said}
    return said


def as_kept(waiting: Waiting) -> dict[str, object]:
    """Return it as an event keeps it."""
    cost: Decimal | None = waiting.cost
    return {"cost": None if cost is None else str(cost), "reasons": list(waiting.reasons)}
