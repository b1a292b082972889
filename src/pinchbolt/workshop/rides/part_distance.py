"""How far a part went since it was fitted: as somebody said at a reading, carried on by the records; else by the records alone.

What the records say is added up from what holds now: a ride put on another bike, or taken in later, changes it for every day
since. What somebody said stays as it was said.
"""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from pinchbolt.records.models import Event, Fitting, Instrument, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.fittings import first_fitting
from pinchbolt.workshop.rides.exposure import use_of

SAID = {"ride files": 0.02, "odometer": 0.03, "owner's word": 0.15, "guess": 0.4}
"""How a distance may be known that somebody says, with its relative standard deviation (common practice, no source)."""

Distance = tuple[float | None, float, str]
"""Kilometres, their relative standard deviation, and how they are known; (None, 0.15, 'unknown') where nobody knows."""


def was_said(reading: Reading) -> bool:
    """Whether the distance at a reading is somebody's word, not the records'; a reading put right keeps what was said."""
    event: Event | None = reading.event if reading.distance_km is not None else None
    while event is not None and event.said.get("distance_km") is None:
        event = event.corrects
    return event is not None


def distance_at(part: Part, day: date) -> Distance:
    """Return how far a part went since it was fitted, by *day*."""
    fitting = first_fitting(part)
    assert fitting is not None  # a part on a bike has a fitting
    return _carried_on(part, day) or _recorded(part, fitting, day)


def distance_of(reading: Reading) -> Distance:
    """Return how far the part had gone at a reading: as it was said then, or as the records add it up now."""
    if was_said(reading):
        return reading.distance_km, reading.distance_share, reading.distance_known
    return distance_at(reading.part, reading.day)


def _carried_on(part: Part, day: date) -> Distance | None:
    """What somebody said at an earlier reading of this part, and what the records add since then."""
    said = next((row for row in reversed(readings_of(part)) if row.day <= day and was_said(row)), None)
    if said is None or said.distance_km is None:
        return None
    since = max(0.0, use_of(part, day).km - use_of(part, said.day).km)
    return said.distance_km + since, said.distance_share, said.distance_known


@once_a_look.of(Reading, Part, Instrument)
def readings_of(part: Part) -> tuple[Reading, ...]:
    """Return the readings of a part that stand, the oldest first."""
    return tuple(_readings((part.pk,)))


def look_up_readings(parts: Iterable[Part]) -> None:
    """Look up in one question what was read of these parts."""
    found: dict[Part, list[Reading]] = {part: [] for part in parts}
    for row in _readings(tuple(part.pk for part in found)):
        found[row.part].append(row)
    readings_of.many({(part,): tuple(rows) for part, rows in found.items()})


@prepared
def _readings(parts: tuple[int, ...]) -> QuerySet[Reading]:
    rows = Reading.objects.filter(part__in=parts, event__corrected_by__isnull=True)
    return rows.select_related("event", "part", "instrument").order_by("day", "pk")


def _recorded(part: Part, fitting: Fitting, day: date) -> Distance:
    used = use_of(part, day)
    if used.km <= 0 or used.days_unknown > used.days / 2:
        return None, 0.15, "unknown"
    return used.km, max(0.02, used.sd / used.km), worded(" and ").join(used.known)[:20]
