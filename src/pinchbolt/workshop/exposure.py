"""How far a part was used: its fittings, and the rides and stretches of the bikes they were on, handed to the use engine."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

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
from pinchbolt.records.models import Bike, Distance, Fitting, Part, RidePlace

_DEFAULT_KM_A_WEEK = {"dry road": 90.0, "mixed": 70.0, "mud": 55.0, "e-bike": 60.0, "indoor": 70.0}
_WEEK_LOG_SD = 0.5
_FILES_SD = 0.02

# What turns on a trainer: the chain always; what is behind unless the trainer has its own; wheels in front and brakes never.
_STANDS_INDOORS = (
    "pads",
    "rim pads",
    "rotor",
    "brake",
    "brake cable",
    "brake fluid",
    "roller brake",
    "coaster brake",
)
_WHEEL = (
    "wheel",
    "tyre",
    "tube",
    "sealant",
    "rim",
    "hub",
    "cassette",
    "freewheel",
    "freehub",
    "sprocket",
    "hub gear",
)
_BEHIND, _OUTDOORS = " behind", " outdoors"


class Ledger:
    """The stretches of bikes and trainers by ride files and by what was said, each looked up once."""

    def __init__(self) -> None:
        self._known: dict[str, Reconciled] = {}
        self._used: dict[tuple[tuple[Stay, ...], date], Use] = {}

    def of(self, host: str) -> Reconciled:
        """What counts for one host, and where files and statements differ."""
        if host not in self._known:
            self._known[host] = reconciled(_by_files(host), _as_said(host))
        return self._known[host]

    def used(self, stays: tuple[Stay, ...], day: date) -> Use:
        """How far anything with these stays went by a day: most parts of a bike came and stayed together."""
        if (stays, day) not in self._used:
            start = min((stay.start for stay in stays), default=day)
            stretches = merged(
                self.stretches({stay.host for stay in stays}),
                [day, *(stay.start for stay in stays), *_ends(stays)],
            )
            self._used[stays, day] = use_between(stays, stretches, start, max(start, day))
        return self._used[stays, day]

    def stretches(self, hosts: Iterable[str]) -> tuple[Stretch, ...]:
        """What counts for these hosts."""
        return tuple(stretch for host in sorted(hosts) for stretch in self.of(host).stretches)


def _ends(stays: Iterable[Stay]) -> list[date]:
    return [stay.end for stay in stays if stay.end is not None]


def places_now() -> QuerySet[RidePlace]:
    """What each ride counts for now: its newest place. A double has none."""
    newer = RidePlace.objects.filter(ride=OuterRef("ride"), pk__gt=OuterRef("pk"))
    return RidePlace.objects.filter(~Exists(newer))


def stays_of(part: Part) -> tuple[Stay, ...]:
    """Return where a part was, wheel by wheel resolved to bikes and trainers."""
    direct: list[Stay] = []
    for fitting in part.fittings.order_by("start"):
        if fitting.wheel_id is not None:
            on_wheel = (Stay(f"part {fitting.wheel_id}", fitting.start, fitting.end),)
            wheel_stays = tuple(
                Stay(_host(f, _view(f.part)), f.start, f.end)
                for f in Fitting.objects.filter(part_id=fitting.wheel_id)
                .select_related("part")
                .order_by("start")
            )
            direct.extend(resolve_stays(on_wheel, {f"part {fitting.wheel_id}": wheel_stays}))
        else:
            direct.append(Stay(_host(fitting, _view(part)), fitting.start, fitting.end))
    return tuple(direct)


def _view(part: Part) -> str:
    """Which rides of a bike a part takes part in: all, all but those on a trainer of its own, or those outdoors."""
    if part.kind in _STANDS_INDOORS or (part.kind in _WHEEL and part.place == "front"):
        return _OUTDOORS
    return _BEHIND if part.kind in _WHEEL else ""


def _host(fitting: Fitting, view: str) -> str:
    return f"bike {fitting.bike_id}{view}" if fitting.bike_id is not None else f"trainer {fitting.trainer_id}"


def _of_host(host: str) -> Q:
    kind, number = host.split()[:2]
    return Q(bike_id=int(number)) if kind == "bike" else Q(trainer_id=int(number))


def _by_files(host: str) -> tuple[Stretch, ...]:
    places = places_now().filter(_of_host(host))
    if host.endswith(_BEHIND):
        places = places.filter(trainer__isnull=True)
    elif host.endswith(_OUTDOORS):
        places = places.filter(trainer__isnull=True).exclude(ride__indoor=True)
    km: dict[date, float] = defaultdict(float)
    for day, metres in places.values_list("ride__day", "ride__distance_m"):
        km[day] += metres / 1000
    return stretches_of_rides(host, km, _FILES_SD)


def _as_said(host: str) -> tuple[Stretch, ...]:
    rows = Distance.objects.filter(_of_host(host), event__corrected_by__isnull=True)
    return tuple(
        Stretch(host, start, end, km, share, known)
        for start, end, km, share, known in rows.values_list("start", "end", "km", "sd_share", "known")
    )


def use_of(part: Part, day: date, ledger: Ledger | None = None) -> Use:
    """Return how far *part* was used from its first fitting to *day*."""
    return (ledger or Ledger()).used(stays_of(part), day)


def differences_of(bike: Bike) -> tuple[Difference, ...]:
    """Return where what was said of a bike and its ride files stand beside each other, the newest last."""
    return Ledger().of(f"bike {bike.pk}").differences


def week_of(bike: Bike, today: date, ledger: Ledger | None = None) -> WeeklyUse:
    """Return how far this bike goes in a week, from its rides, its stretches and the owner's word."""
    default = bike.km_a_week or _DEFAULT_KM_A_WEEK.get(bike.use_class, 70.0)
    known = (ledger or Ledger()).stretches({f"bike {bike.pk}"})
    so_far = tuple(stretch for stretch in known if stretch.end <= today)
    return weekly_use(merged(so_far, _weeks_back(so_far, today)), today, default, _WEEK_LOG_SD)


def _weeks_back(stretches: Iterable[Stretch], today: date) -> list[date]:
    """Every seventh day from today back to the first of them: within a week, days tell no more of a week."""
    first = min((stretch.start for stretch in stretches), default=today)
    return [today - timedelta(days=7 * number) for number in range((today - first).days // 7 + 1)]
