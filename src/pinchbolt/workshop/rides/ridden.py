"""A bike's rides, what still needs a bike, how files and statements compare, and one part's use over time."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.engines.use import merged, use_between
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Bike, Distance, Fitting, Part, Reading, Ride, RidePlace, Trainer
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.fittings import first_fitting
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.rides._ride_places import NOT_SURE, SETTLED, places_now, places_of
from pinchbolt.workshop.rides.exposure import (
    Ledger,
    differences_of,
    possible_before,
    stays_that_count,
    week_of,
)
from pinchbolt.workshop.rides.ride_report import PRIVACY, at_once_words

_POINTS = 48
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class RideView:
    """One ride: when, how far, and by what it was decided which bike it was on."""

    id: int
    start: datetime
    day: date
    km: float
    moving_min: float
    ascent_m: float | None
    indoor: bool | None
    device: str
    how: str
    damaged: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DeviceRequest:
    """Rides of one device that count for nothing until somebody answers: which bike, whether it was riding, or whether it was one
    ride with those at the same time, each then said in `beside`."""

    device: str
    rides: tuple[int, ...]
    first: date
    last: date
    km: float
    why: str
    question: str = "which bike"
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WordBeside:
    """A statement beside the ride files of the same days."""

    words: str
    agree: bool


@dataclass(frozen=True, slots=True)
class DistanceByWord:
    """A distance that somebody said, as it counts now."""

    id: int
    start: date
    end: date
    km: float
    known: str


@dataclass(frozen=True, slots=True)
class WeekView:
    """One week: the Monday it begins on, and its distance on the road and indoors."""

    start: date
    km: float
    indoor_km: float


@dataclass(frozen=True, slots=True)
class BikeRidden:
    """Everything that ride files say of a bike."""

    tag: str
    owner: str
    rides: int
    km: float
    indoor_km: float
    moving_h: float
    ascent_m: float
    first: date | None
    last: date | None
    week_km: float
    week_words: str
    silent_weeks: float
    season: tuple[float, ...]
    trend_a_year: float | None
    weeks: tuple[WeekView, ...]
    newest: tuple[RideView, ...]
    asked: tuple[DeviceRequest, ...]
    said: tuple[DistanceByWord, ...]
    beside: tuple[WordBeside, ...]
    bikes: tuple[str, ...]
    trainers: tuple[tuple[int, str], ...]
    parts: tuple[tuple[int, str], ...]
    privacy: str = PRIVACY


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
    """One part's use over time, with its fittings and readings."""

    part: int
    words: str
    since_known: bool
    points: tuple[UsePoint, ...]
    stays: tuple[StayView, ...]
    readings: tuple[ReadAtKm, ...]
    known: tuple[str, ...]
    possible_km: float | None = None


@dataclass(frozen=True, slots=True)
class DropAsks:
    """What is asked where ride files are dropped: the owner's bikes, the trainers there are, and what is kept."""

    bikes: tuple[str, ...]
    trainers: tuple[tuple[int, str], ...]
    privacy: str = PRIVACY


def drop_asks(tag: str) -> DropAsks:
    """Return what is asked where ride files of a bike are dropped.

    Raises:
        NotFound: No bike has this tag.
    """
    bike = bike_by_tag(tag)
    return DropAsks(
        tuple(bike.owner.bikes.order_by("tag").values_list("tag", flat=True)),
        tuple(Trainer.objects.order_by("name").values_list("pk", "name")),
    )


def bike_ridden(tag: str, now: datetime, most: int = 20) -> BikeRidden:
    """Return what ride files say of a bike, with at most *most* of its newest rides.

    Raises:
        NotFound: No bike has this tag.
    """
    bike = bike_by_tag(tag)
    today = local_day(now)
    places = list(places_now().filter(bike=bike).select_related("ride").order_by("-ride__start"))
    rides = [place.ride for place in places]
    week = week_of(bike, today)
    return BikeRidden(
        tag=bike.tag,
        owner=bike.owner.name,
        rides=len(rides),
        km=sum(ride.distance_m for ride in rides) / 1000,
        indoor_km=sum(ride.distance_m for ride in rides if ride.indoor) / 1000,
        moving_h=sum(ride.moving_s for ride in rides) / 3600,
        ascent_m=sum(ride.ascent_m or 0.0 for ride in rides),
        first=min((ride.day for ride in rides), default=None),
        last=max((ride.day for ride in rides), default=None),
        week_km=week.median_km,
        week_words=week.words,
        silent_weeks=week.silent_weeks,
        season=week.season,
        trend_a_year=week.trend_a_year,
        weeks=_weeks(rides, today),
        newest=tuple(_seen(place.ride, place.how) for place in places[:most]),
        asked=_asked(bike),
        said=tuple(
            DistanceByWord(row.pk, row.start, row.end, row.km, row.known)
            for row in Distance.objects.filter(bike=bike, event__corrected_by__isnull=True).order_by(
                "-end", "-pk"
            )
        ),
        beside=tuple(WordBeside(one.reason.words, one.agree) for one in differences_of(bike)),
        bikes=tuple(bike.owner.bikes.order_by("tag").values_list("tag", flat=True)),
        trainers=tuple(Trainer.objects.order_by("name").values_list("pk", "name")),
        parts=tuple((part.pk, str(part)) for part in parts_on(bike)),
    )


def _seen(ride: Ride, how: str) -> RideView:
    return RideView(
        ride.pk,
        ride.start,
        ride.day,
        ride.distance_m / 1000,
        ride.moving_s / 60,
        ride.ascent_m,
        ride.indoor,
        ride.device,
        how,
        tuple(ride.damaged),
    )


def _weeks(rides: list[Ride], today: date) -> tuple[WeekView, ...]:
    """The last 104 weeks, those without a ride too."""
    if not rides:
        return ()
    road: dict[date, float] = defaultdict(float)
    indoors: dict[date, float] = defaultdict(float)
    for ride in rides:
        monday = ride.day - timedelta(days=ride.day.weekday())
        (indoors if ride.indoor else road)[monday] += ride.distance_m / 1000
    last = today - timedelta(days=today.weekday())
    first = max(min((*road, *indoors)), last - 103 * _WEEK)
    count = (last - first).days // 7 + 1
    mondays = [first + number * _WEEK for number in range(count)]
    return tuple(WeekView(monday, road.get(monday, 0.0), indoors.get(monday, 0.0)) for monday in mondays)


def _asked(bike: Bike) -> tuple[DeviceRequest, ...]:
    """The owner's rides that wait for an answer, gathered by device and reason."""
    rows = (
        places_of(bike.owner_id)
        .filter(bike__isnull=True)
        .exclude(how__in=SETTLED)
        .select_related("ride", "beside")
        .order_by("ride__start")
    )
    found: dict[tuple[str, str, str], list[RidePlace]] = defaultdict(list)
    for place in rows:
        why = f"{NOT_SURE} {place.ride.sport or ''}".strip() if place.how == NOT_SURE else place.how
        found[place.ride.device_mark, place.ride.device, why].append(place)
    return tuple(
        DeviceRequest(
            device or "a device without a name",
            tuple(place.ride_id for place in places),
            places[0].ride.day,
            places[-1].ride.day,
            sum(place.ride.distance_m for place in places) / 1000,
            "several bikes are possible" if why == "asked" else why,
            _question(places[0]),
            tuple(at_once_words(one.ride, one.how, one.beside) for one in places if one.beside is not None),
        )
        for (_, device, why), places in found.items()
    )


def _question(place: RidePlace) -> str:
    if place.beside is not None:
        return "one ride"
    return "riding" if place.how == NOT_SURE else "which bike"


def part_used(tag: str, part: int, now: datetime) -> PartUsed:
    """Return how one part of a bike was used over time.

    Raises:
        NotFound: No bike has this tag, or this part is not on it.
    """
    bike = bike_by_tag(tag)
    found = next((one for one in parts_on(bike) if one.pk == part), None)
    if found is None:
        raise NotFound(f"Part {part} is not on {bike.tag} now: choose one of its build sheet.")
    today = local_day(now)
    ledger = Ledger()
    stays = stays_that_count(found, ledger)
    first = min((stay.start for stay in stays), default=today)
    stretches = ledger.stretches({stay.host for stay in stays})
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
    before = possible_before(found, ledger)
    return PartUsed(
        found.pk,
        str(found),
        bool(fitting and fitting.start_known),
        tuple(points),
        _stays_seen(found),
        tuple(ReadAtKm(row.day, at[row.day], _shown(row)) for row in readings if not row.word),
        whole.known,
        before.km if before is not None else None,
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
    return fitting.trainer.name if fitting.trainer is not None else "a wheel"


def _shown(row: Reading) -> str:
    if row.low is None or row.high is None:
        return f"{'below' if row.low is None else 'from'} {row.high if row.low is None else row.low:g} {row.unit}"
    return f"{row.low:g} {row.unit}" if row.low == row.high else f"{row.low:g} to {row.high:g} {row.unit}"
