"""A bike's rides, its week, what files and statements and the display say beside each other."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.records.models import Distance, Ride
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.rides._ride_places import places_now
from pinchbolt.workshop.rides._still_to_answer import DeviceRequest, still_to_answer
from pinchbolt.workshop.rides.displays import DisplayView, displays_of
from pinchbolt.workshop.rides.exposure import differences_of, week_of
from pinchbolt.workshop.rides.owners_things import OwnersThings, things_of, trainers_of
from pinchbolt.workshop.rides.ride_report import PRIVACY, device_words

_WEEK = timedelta(days=7)
_PLAINLY = {
    "named": worded("dropped for this bike"),
    "said": worded("put here by hand"),
    "device": worded("by its device"),
    "moved": worded("moved here"),
}


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
    sure: float | None = None


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
    usual_week_km: float
    trend_a_year: float | None
    weeks: tuple[WeekView, ...]
    newest: tuple[RideView, ...]
    asked: tuple[DeviceRequest, ...]
    said: tuple[DistanceByWord, ...]
    beside: tuple[WordBeside, ...]
    bikes: tuple[str, ...]
    trainers: tuple[tuple[int, str], ...]
    things: OwnersThings
    displays: tuple[DisplayView, ...]
    parts: tuple[tuple[int, str], ...]
    privacy: str = PRIVACY


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
        trainers_of(bike.owner),
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
        usual_week_km=week.of_year_km,
        trend_a_year=week.trend_a_year,
        weeks=_weeks(rides, today),
        newest=tuple(_seen(place.ride, place.how, place.sure) for place in places[:most]),
        asked=still_to_answer(bike),
        said=tuple(
            DistanceByWord(row.pk, row.start, row.end, row.km, row.known)
            for row in Distance.objects.filter(bike=bike, event__corrected_by__isnull=True).order_by(
                "-end", "-pk"
            )
        ),
        beside=tuple(WordBeside(one.reason.words, one.agree) for one in differences_of(bike)),
        bikes=tuple(bike.owner.bikes.order_by("tag").values_list("tag", flat=True)),
        trainers=trainers_of(bike.owner),
        things=things_of(bike.owner),
        displays=displays_of(bike),
        parts=tuple((part.pk, str(part)) for part in parts_on(bike)),
    )


def _seen(ride: Ride, how: str, sure: float | None) -> RideView:
    return RideView(
        ride.pk,
        ride.start,
        ride.day,
        ride.distance_m / 1000,
        ride.moving_s / 60,
        ride.ascent_m,
        ride.indoor,
        device_words(ride.device),
        _PLAINLY.get(how, how),
        tuple(ride.damaged),
        sure,
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
