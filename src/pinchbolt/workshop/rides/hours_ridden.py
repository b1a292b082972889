"""How many hours a part was ridden: by the moving time of its rides, or by the motor's own hours where they tell more."""

from dataclasses import dataclass
from datetime import date

from pinchbolt.engines.build import BEHIND, OUTDOORS
from pinchbolt.engines.use import Stay
from pinchbolt.records.models import Part
from pinchbolt.workshop.rides._ride_places import places_now
from pinchbolt.workshop.rides.displays import by_motor
from pinchbolt.workshop.rides.exposure import Ledger, rows_of_host, stays_that_count


@dataclass(frozen=True, slots=True)
class HoursRidden:
    """Hours of riding of one part; `known` says from what, an empty word where nothing tells any. [h]"""

    hours: float
    known: str


def hours_of(part: Part, day: date, ledger: Ledger | None = None, since: date | None = None) -> HoursRidden:
    """Return the hours that are known of a part by *day*, from its first fitting on or from *since*.

    Rides without a file are in the motor's hours, rides without the motor in the files: the more of the two was ridden at least.
    """
    files = motor = 0.0
    for stay in stays_that_count(part, ledger or Ledger()):
        first = stay.start if since is None else max(stay.start, since)
        last = min(stay.end or day, day)
        files += _by_files(stay, first, last)
        motor += _by_motor(stay, first, last)
    if motor > files:
        return HoursRidden(motor, "the motor's own hours")
    return HoursRidden(files, "ride files" if files else "")


def _by_files(stay: Stay, first: date, last: date) -> float:
    """Moving hours of the rides of a stay. As for kilometres, the ride of the day of a change was to the shop."""
    rows, rides = rows_of_host(stay.host)
    places = places_now().filter(rows, ride__day__gt=first, ride__day__lte=last)
    if rides in (OUTDOORS, BEHIND):
        places = places.filter(trainer__isnull=True)
    if rides == OUTDOORS:
        places = places.exclude(ride__indoor=True)
    return float(sum(places.values_list("ride__moving_s", flat=True))) / 3600


def _by_motor(stay: Stay, first: date, last: date) -> float:
    """The motor's hours between days on which they were read, by the days of each span that fall into the stay."""
    kind, number, *_ = stay.host.split()
    if kind != "bike":
        return 0.0
    hours = 0.0
    for span in by_motor(int(number)):
        within = (min(span.end, last) - max(span.start, first)).days
        hours += span.km * max(within, 0) / (span.end - span.start).days
    return hours
