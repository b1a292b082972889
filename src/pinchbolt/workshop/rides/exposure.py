"""How far a part was used: its fittings, and the rides and stretches of the bikes they were on, handed to the use engine."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from django.db.models import QuerySet

from pinchbolt.engines.build import BEHIND, OUTDOORS, rides_word
from pinchbolt.engines.use import (
    Difference,
    Reconciled,
    Stay,
    Stretch,
    Use,
    WeeklyUse,
    merged,
    reconciled,
    resolve_stays,
    stretches_of_rides,
    use_between,
    weekly_use,
)
from pinchbolt.records.models import ALL_ALONG, Bike, Display, Distance, Fitting, Part, Ride, RidePlace
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.kinds import UseRow
from pinchbolt.values.money import with_figures
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.fittings import first_fitting, fittings_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides._ride_places import places_now
from pinchbolt.workshop.rides.displays import by_odometer

_FILES_SD = 0.02
_USUAL = "mixed"
# Hosts of some fifty bikes, and what is asked of each: days and stays of its parts. Own choice.
_HOSTS, _ASKED = 256, 4096


@dataclass(frozen=True, slots=True, eq=False)
class _Counted:
    """What counts for one host, as the records have it. The same one as long as they say the same: what the use engine makes of it
    is kept by it, and is worked out again where a ride or a word has come, gone or changed."""

    reconciled: Reconciled
    began: date | None
    has_single_days: bool

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        return self.reconciled.stretches


def _counted(found: Reconciled) -> _Counted:
    began = min((one.start for one in found.stretches), default=None)
    return _Counted(found, began, any(one.start == one.end for one in found.stretches))


def rides_of(kind: str, end: str) -> str:
    """Return which rides of a bike turn a part: "" all, "outdoors", "behind" all but those on a trainer of its own.

    The same word decides how far a part went and how far it goes in a week.
    """
    return rides_word(kind_row(kind), end)


def counted_of(host: str) -> Reconciled:
    """Return what counts for one host by its ride files and by what was said, and where these differ."""
    return _counts_for(host).reconciled


@once_a_look.of(RidePlace, Ride, Distance, Display, Fitting, Part)
def _counts_for(host: str) -> _Counted:
    # An odometer counts what was ridden without a file too; on its days a word is not needed.
    words = reconciled(_by_odometer(host), _as_said(host), worded("odometer readings"))
    files = reconciled(_by_files(host), words.stretches)
    found = Reconciled(files.stretches, (*words.differences, *files.differences))
    last = _counted_last(host)
    # Another thread may keep another one meanwhile: told is what was found here.
    for before in tuple(last):
        if before.reconciled == found:
            return before
    made = _counted(found)
    last[:] = [made]
    return made


@lru_cache(_HOSTS)
def _counted_last(host: str) -> list[_Counted]:
    """The place where what counted for a host last time is kept."""
    return []


@once_a_look.of(RidePlace, Ride, Distance, Display, Fitting, Part)
def _used(stays: tuple[Stay, ...], day: date) -> Use:
    return _use_by(tuple(_counts_for(host) for host in sorted({stay.host for stay in stays})), stays, day)


@with_figures
@lru_cache(_ASKED)
def _use_by(counted: tuple[_Counted, ...], stays: tuple[Stay, ...], day: date) -> Use:
    start = min((stay.start for stay in stays), default=day)
    days = {day, *(stay.start for stay in stays), *_ends(stays)}
    stretches = merged([stretch for one in counted for stretch in one.stretches], sorted(days))
    return use_between(stays, stretches, start, max(start, day))


def _ends(stays: Iterable[Stay]) -> list[date]:
    return [stay.end for stay in stays if stay.end is not None]


def stays_of(part: Part) -> tuple[Stay, ...]:
    """Return where a part was and turned, wheel by wheel resolved to bikes and trainers, with the part's own rides there."""
    direct: list[Stay] = []
    for fitting in fittings_of(part):
        rides = _rides(part, fitting)
        if fitting.wheel_id is None:
            direct.extend(_stays(fitting, rides))
            continue
        of_wheel = fittings_of(fitting.wheel) if fitting.wheel is not None else ()
        wheel_stays = tuple(stay for one in of_wheel for stay in _stays(one, rides))
        on_wheel = (Stay(f"part {fitting.wheel_id}", fitting.start, fitting.end),)
        direct.extend(resolve_stays(on_wheel, {f"part {fitting.wheel_id}": wheel_stays}))
    return tuple(direct)


def _stays(fitting: Fitting, rides: str) -> tuple[Stay, ...]:
    """One stay on a bike or a trainer; what moves on the road alone stands still on a trainer, and has none there."""
    if fitting.bike_id is not None:
        return (Stay(f"bike {fitting.bike_id} {rides}".strip(), fitting.start, fitting.end),)
    if fitting.trainer_id is None or rides == OUTDOORS:
        return ()
    return (Stay(f"trainer {fitting.trainer_id}", fitting.start, fitting.end),)


def rides_now(part: Part) -> str:
    """Return which rides turn a part where it is or was last: the word of `rides_of`."""
    last = next(reversed(fittings_of(part)), None)
    return rides_of(part.kind, part.place) if last is None else _rides(part, last)


def _rides(part: Part, fitting: Fitting) -> str:
    """A part goes by its own kind, on a wheel as beside it; where it does not say at which end it is, its wheel does."""
    return rides_of(part.kind, part.place or (fitting.wheel.place if fitting.wheel else ""))


def host_of(host: str) -> tuple[str, int, str]:
    """Return the field that names a host, its number, and which of its rides are meant."""
    kind, number, *rides = host.split()
    return "bike_id" if kind == "bike" else "trainer_id", int(number), " ".join(rides)


@once_a_look.of(RidePlace, Ride)
def _by_files(host: str) -> tuple[Stretch, ...]:
    kind, number, rides = host_of(host)
    return _stretches(host, tuple(_places(number, kind=kind, rides=rides)))


@lru_cache(_HOSTS)
def _stretches(host: str, ridden: tuple[tuple[date, float, float | None], ...]) -> tuple[Stretch, ...]:
    km: dict[date, float] = defaultdict(float)
    unsure: dict[date, float] = defaultdict(float)
    for day, metres, sure in ridden:
        km[day] += metres / 1000
        if sure is not None:
            # What was concluded may be wrong, and then for all rides alike: these errors add up.
            unsure[day] += metres / 1000 * (sure * (1 - sure)) ** 0.5
    return stretches_of_rides(host, km, _FILES_SD, unsure)


@prepared
def _places(number: int, *, kind: str, rides: str) -> QuerySet[RidePlace, tuple[date, float, float | None]]:
    return rides_at(number, kind, rides).values_list("ride__day", "ride__distance_m", "sure")


def rides_at(number: int, kind: str, rides: str) -> QuerySet[RidePlace]:
    """Return the places of the rides that are meant: the three of `host_of`."""
    places = places_now().filter(**{kind: number})
    if rides in (OUTDOORS, BEHIND):
        places = places.filter(trainer__isnull=True)
    return places.exclude(ride__indoor=True) if rides == OUTDOORS else places


def _by_odometer(host: str) -> tuple[Stretch, ...]:
    kind, number, *_ = host.split()
    return tuple(replace(one, host=host) for one in by_odometer(int(number))) if kind == "bike" else ()


@once_a_look.of(Distance)
def _as_said(host: str) -> tuple[Stretch, ...]:
    kind, number, _ = host_of(host)
    return tuple(
        Stretch(host, start, end, km, share, known)
        for start, end, km, share, known in _distances(number, kind=kind)
    )


@prepared
def _distances(number: int, *, kind: str) -> QuerySet[Distance, tuple[date, date, float, float, str]]:
    rows = Distance.objects.filter(event__corrected_by__isnull=True, **{kind: number})
    return rows.values_list("start", "end", "km", "sd_share", "known")


def use_of(part: Part, day: date) -> Use:
    """Return how far *part* was used by *day*: from its first fitting on, and before it where the owner says that it was on all along.

    What may have been before a start that nobody knows is not in it: `possible_before`.
    """
    return _used(stays_that_count(part), day)


def stays_that_count(part: Part) -> tuple[Stay, ...]:
    """Return where a part was, with where it was before it was first seen, as long as its owner says so."""
    stays = stays_of(part)
    first = first_fitting(part)
    if first is not None and first.since_said == ALL_ALONG:
        return (*_stays_before(part, first), *stays)
    return stays


def possible_before(part: Part) -> Use | None:
    """Return what a part may have been used before it was first seen: all of this, some or none of it; None where that is known."""
    first = first_fitting(part)
    if first is None or first.start_known or first.since_said:
        return None
    stays = _stays_before(part, first)
    used = _used(stays, first.start) if stays else None
    return used if used is not None and used.km > 0 else None


def _stays_before(part: Part, first: Fitting) -> tuple[Stay, ...]:
    """Where a part may have been before it was first seen: on what it was found on, after the part that is known to have been there."""
    carrier = first
    if first.wheel_id is not None:
        on_wheel = fittings_of(first.wheel) if first.wheel is not None else ()
        found = next((one for one in reversed(on_wheel) if one.start <= first.start), None)
        if found is None:
            return ()
        carrier = found
    hosts = {stay.host for stay in _stays(carrier, _rides(part, first))}
    counted = [_counts_for(host) for host in hosts]
    began = min((one.began for one in counted if one.began is not None), default=first.start)
    if any(one.has_single_days for one in counted):
        began -= timedelta(days=1)
    ended = ends_before(part, first)
    start = max([began, *ended])
    return tuple(Stay(host, start, first.start) for host in hosts if start < first.start)


def ends_before(part: Part, first: Fitting) -> list[date]:
    """Return when parts of this kind and place went that were there before it was first seen: this one came after them."""
    seen = first.seen_from or first.start
    return [
        one.end
        for one in _gone_from(first.bike_id, None if first.bike_id else first.wheel_id)
        if one.end is not None
        and one.end <= seen
        and (one.part.kind, one.part.place) == (part.kind, part.place)
        and one.part_id != part.pk
    ]


@once_a_look.of(Fitting, Part)
def _gone_from(bike: int | None, wheel: int | None) -> tuple[Fitting, ...]:
    """What was on a bike or a wheel, and is no longer; what was struck off as never there was not."""
    if bike is None and wheel is None:
        return ()
    return tuple(_gone(bike, to="bike_id") if bike is not None else _gone(wheel, to="wheel_id"))


@prepared
def _gone(host: int, *, to: str) -> QuerySet[Fitting]:
    rows = Fitting.objects.filter(end__isnull=False, **{to: host}).exclude(gone_to="never there")
    return rows.select_related("part")


def differences_of(bike: Bike) -> tuple[Difference, ...]:
    """Return where what was said of a bike and its ride files stand beside each other, the newest last."""
    return counted_of(f"bike {bike.pk}").differences


def week_of(bike: Bike, today: date, rides: str = "") -> WeeklyUse:
    """Return how far this bike goes in a week, from its rides, its stretches and the owner's word.

    `rides`: which of its rides are meant, by the word of `rides_of`; a part's own gives the rate at which that part goes on.
    """
    row = use_row(bike)
    counted = _counts_for(f"bike {bike.pk} {rides}".strip())
    return _week_by(counted, today, bike.km_a_week or row.km_a_week, row.spread)


@with_figures
@lru_cache(_HOSTS)
def _week_by(counted: _Counted, today: date, usual_km: float, spread: float) -> WeeklyUse:
    so_far = tuple(stretch for stretch in counted.stretches if stretch.end <= today)
    return weekly_use(merged(so_far, _weeks_back(so_far, today)), today, usual_km, spread)


def _weeks_back(stretches: Iterable[Stretch], today: date) -> list[date]:
    """Every seventh day from today back to the first of them: within a week, days tell no more of a week."""
    first = min((stretch.start for stretch in stretches), default=today)
    return [today - timedelta(days=7 * number) for number in range((today - first).days // 7 + 1)]


def use_row(bike: Bike) -> UseRow:
    """Return how a bike of this class of use is usually ridden; a class that no table has any more counts as mixed."""
    return tables().uses.get(bike.use_class) or tables().uses[_USUAL]
