"""How many hours a part was ridden: by the moving time of its rides, or by the motor's own hours where they tell more."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from pinchbolt.engines.use import Stay
from pinchbolt.records.models import Part, Ride, RidePlace
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.rides.displays import by_motor
from pinchbolt.workshop.rides.exposure import host_of, rides_at, stays_that_count


@dataclass(frozen=True, slots=True)
class HoursRidden:
    """Hours of riding of one part; `known` says from what, an empty word where nothing tells any. [h]"""

    hours: float
    known: str


def hours_of(part: Part, day: date, since: date | None = None) -> HoursRidden:
    """Return the hours that are known of a part by *day*, from its first fitting on or from *since*.

    Rides without a file are in the motor's hours, rides without the motor in the files: between two days on which the motor
    was read the more of the two was ridden at least; outside them the files are all there is.
    """
    files = motor = 0.0
    for stay in stays_that_count(part):
        first = stay.start if since is None else max(stay.start, since)
        rides = _rides(stay, first, min(stay.end or day, day))
        for start, end, shown in _by_motor(stay, first, min(stay.end or day, day)):
            within = sum(hours for on, hours in rides if start < on <= end)
            if shown > within:
                motor += shown
                rides = [(on, hours) for on, hours in rides if not start < on <= end]
        files += sum(hours for _, hours in rides)
    return HoursRidden(files + motor, _known(files, motor))


def _known(files: float, motor: float) -> str:
    if files and motor:
        return worded("the motor's own hours and ride files")
    return worded("the motor's own hours") if motor else "ride files" if files else ""


def _rides(stay: Stay, first: date, last: date) -> list[tuple[date, float]]:
    """Day and moving hours of the rides of a stay. As for kilometres, the ride of the day of a change was to the shop."""
    return [(on, moving / 3600) for on, moving in _ridden(stay.host) if first < on <= last]


@once_a_look.of(RidePlace, Ride)
def _ridden(host: str) -> list[tuple[date, float]]:
    kind, number, rides = host_of(host)
    return _moving(number, kind=kind, rides=rides)


@prepared
def _moving(number: int, *, kind: str, rides: str) -> QuerySet[RidePlace, tuple[date, float]]:
    return rides_at(number, kind, rides).values_list("ride__day", "ride__moving_s")


def _by_motor(stay: Stay, first: date, last: date) -> Iterator[tuple[date, date, float]]:
    """What of each span between two readings of the motor falls into the stay, with its hours by its days. [day, day, h]"""
    kind, number, *_ = stay.host.split()
    if kind != "bike":
        return
    for span in by_motor(int(number)):
        start, end = max(span.start, first), min(span.end, last)
        if start < end:
            yield start, end, span.km * (end - start).days / (span.end - span.start).days
