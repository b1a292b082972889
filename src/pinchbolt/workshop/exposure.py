"""How far a part was used: its fittings and the stretches of the bikes they were on, handed to the use engine."""

from datetime import date

from django.db.models import Q

from pinchbolt.engines.use import Stay, Stretch, Use, WeeklyUse, resolve_stays, use_between, weekly_use
from pinchbolt.records.models import Bike, Distance, Fitting, Part

_DEFAULT_KM_A_WEEK = {"dry road": 90.0, "mixed": 70.0, "mud": 55.0, "e-bike": 60.0, "indoor": 70.0}
_WEEK_LOG_SD = 0.5


def stays_of(part: Part) -> tuple[Stay, ...]:
    """Return where a part was, wheel by wheel resolved to bikes and trainers."""
    direct: list[Stay] = []
    for fitting in part.fittings.order_by("start"):
        if fitting.wheel_id is not None:
            on_wheel = (Stay(f"part {fitting.wheel_id}", fitting.start, fitting.end),)
            wheel_stays = tuple(
                Stay(_host(f), f.start, f.end)
                for f in Fitting.objects.filter(part_id=fitting.wheel_id).order_by("start")
            )
            direct.extend(resolve_stays(on_wheel, {f"part {fitting.wheel_id}": wheel_stays}))
        else:
            direct.append(Stay(_host(fitting), fitting.start, fitting.end))
    return tuple(direct)


def _host(fitting: Fitting) -> str:
    return f"bike {fitting.bike_id}" if fitting.bike_id is not None else f"trainer {fitting.trainer_id}"


def stretches_of(hosts: set[str]) -> tuple[Stretch, ...]:
    """Return the known stretches of these bikes and trainers, those corrected left out."""
    bikes = [int(host.split()[1]) for host in hosts if host.startswith("bike ")]
    trainers = [int(host.split()[1]) for host in hosts if host.startswith("trainer ")]
    rows = Distance.objects.filter(
        Q(bike_id__in=bikes) | Q(trainer_id__in=trainers), event__corrected_by__isnull=True
    )
    return tuple(
        Stretch(f"bike {bike}" if bike is not None else f"trainer {trainer}", start, end, km, share, known)
        for bike, trainer, start, end, km, share, known in rows.values_list(
            "bike_id", "trainer_id", "start", "end", "km", "sd_share", "known"
        )
    )


def use_of(part: Part, day: date) -> Use:
    """Return how far *part* was used from its first fitting to *day*."""
    stays = stays_of(part)
    start = min((stay.start for stay in stays), default=day)
    return use_between(stays, stretches_of({stay.host for stay in stays}), start, max(start, day))


def week_of(bike: Bike, today: date) -> WeeklyUse:
    """Return how far this bike goes in a week, from its stretches and the owner's word."""
    default = bike.km_a_week or _DEFAULT_KM_A_WEEK.get(bike.use_class, 70.0)
    so_far = tuple(stretch for stretch in stretches_of({f"bike {bike.pk}"}) if stretch.end <= today)
    return weekly_use(so_far, today, default, _WEEK_LOG_SD)
