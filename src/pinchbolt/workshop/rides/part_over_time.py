"""One part's use over time: how far and how long it went by each day, where it was, and what was read on it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.engines.use import merged, use_between
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Fitting, Part, Reading
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.fittings import first_fitting
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.rides.exposure import counted_of, possible_before, stays_that_count
from pinchbolt.workshop.rides.hours_ridden import hours_of

_POINTS = 48


@dataclass(frozen=True, slots=True)
class UsePoint:
    """How far a part had gone by a day, with its standard deviation; `unknown` counts the days nobody told of."""

    day: date
    km: float
    km_sd: float
    unknown: int


@dataclass(frozen=True, slots=True)
class StayView:
    """Where a part was from a day to a day."""

    words: str
    start: date
    end: date | None


@dataclass(frozen=True, slots=True)
class ReadAtKm:
    """A reading of the part: its day, how far the part had gone by then, and what was shown."""

    day: date
    km: float
    words: str


@dataclass(frozen=True, slots=True)
class PartUsed:
    """One part's use over time, with its fittings and readings; `hours` of riding, and `hours_known` from what."""

    part: int
    words: str
    since_known: bool
    points: tuple[UsePoint, ...]
    stays: tuple[StayView, ...]
    readings: tuple[ReadAtKm, ...]
    known: tuple[str, ...]
    possible_km: float | None = None
    hours: float = 0.0
    hours_known: str = ""


def part_used(tag: str, part: int, now: datetime) -> PartUsed:
    """Return how one part of a bike was used over time.

    Raises:
        NotFound: No bike has this tag, or this part is not on it.
    """
    bike = bike_by_tag(tag)
    found = next((one for one in parts_on(bike) if one.pk == part), None)
    if found is None:
        raise NotFound(
            worded("Part {part} is not on {tag} now: choose one of its build sheet.", part=part, tag=bike.tag)
        )
    today = local_day(now)
    stays = stays_that_count(found)
    first = min((stay.start for stay in stays), default=today)
    hosts = sorted({stay.host for stay in stays})
    stretches = tuple(stretch for host in hosts for stretch in counted_of(host).stretches)
    readings = list(
        Reading.objects.filter(part=found, event__corrected_by__isnull=True, day__gte=first).order_by(
            "day", "pk"
        )
    )
    span = max((today - first).days, 1)
    days = {first + timedelta(days=round(span * number / _POINTS)) for number in range(_POINTS + 1)}
    days |= {day for stay in stays for day in (stay.start, stay.end) if day is not None and day <= today}
    days |= {row.day for row in readings}
    stretches = merged(stretches, sorted(days))
    points = []
    for day in sorted(days):
        used = use_between(stays, stretches, first, day)
        points.append(UsePoint(day, used.km, used.sd, used.days_unknown))
    at = {point.day: point.km for point in points}
    whole = use_between(stays, stretches, first, max(first, today))
    fitting = first_fitting(found)
    before = possible_before(found)
    hours = hours_of(found, today)
    return PartUsed(
        found.pk,
        str(found),
        bool(fitting and fitting.start_known),
        tuple(points),
        _stays_seen(found),
        tuple(ReadAtKm(row.day, at[row.day], _shown(row)) for row in readings if not row.word),
        whole.known,
        before.km if before is not None else None,
        hours.hours,
        hours.known,
    )


def _stays_seen(part: Part) -> tuple[StayView, ...]:
    """Where a part was, in words: the bike's tag or the trainer's name, through its wheel where one carries it."""
    found = []
    for fitting in part.fittings.select_related("bike", "trainer", "wheel").order_by("start"):
        if fitting.wheel is None:
            found.append(StayView(_place_words(fitting), fitting.start, fitting.end))
            continue
        for carried in fitting.wheel.fittings.select_related("bike", "trainer").order_by("start"):
            start = max(fitting.start, carried.start)
            end = min((day for day in (fitting.end, carried.end) if day is not None), default=None)
            if end is None or end > start:
                found.append(StayView(_place_words(carried), start, end))
    return tuple(found)


def _place_words(fitting: Fitting) -> str:
    if fitting.bike is not None:
        return fitting.bike.tag
    if fitting.peg_id is not None:
        return worded("on the wall")
    return fitting.trainer.name if fitting.trainer is not None else worded("a wheel")


def _shown(row: Reading) -> str:
    if row.low is None or row.high is None:
        return f"{'below' if row.low is None else 'from'} {row.high if row.low is None else row.low:g} {row.unit}"
    return (
        f"{row.low:g} {row.unit}"
        if row.low == row.high
        else worded("{low:g} to {high:g} {unit}", low=row.low, high=row.high, unit=row.unit)
    )
