"""Which bike a part was on, itself or by a wheel that carried it, and which parts of its kind were there before it."""

from datetime import date

from django.db.models import Q, QuerySet

from pinchbolt.records.models import Bike, Fitting, Part
from pinchbolt.records.prepared import prepared
from pinchbolt.workshop.acts.one_look import once_a_look


def last_bike(part: Part) -> Bike | None:
    """Return the bike that a part is on or was last on; a trainer on which it stands meanwhile is none."""
    for fitting in part.fittings.select_related("bike").order_by("-start", "-pk"):
        if fitting.bike is not None:
            return fitting.bike
        if fitting.wheel_id is not None:
            found = [one for one in _of_wheel(fitting.wheel_id) if _meet(fitting, one)]
            if found:
                return found[-1].bike
    return None


@once_a_look
def parts_before(part: Part, bike: Bike) -> tuple[Part, ...]:
    """Return the parts of this kind and place that were on a bike before this one came, the oldest first.

    A part on a wheel was on the bike while the wheel was; what was struck off as never there was not.
    """
    mine = _first_of.first(part.pk)
    gone = [
        one
        for one in _others_on(bike.pk, bike.pk, part.kind, part.place, part.pk)
        if (mine is None or one.start <= mine.start) and _was_on(one, bike) and _is_gone(one, bike)
    ]
    return tuple({one.part_id: one.part for one in gone}.values())


@prepared
def _first_of(part: int) -> QuerySet[Fitting]:
    return Fitting.objects.filter(part=part).order_by("start")[:1]


@prepared
def _others_on(bike: int, wheels_of: int, kind: str, place: str, besides: int) -> QuerySet[Fitting]:
    # Its wheels by themselves: a join over all that ever carried anything reads every bike's fittings.
    wheels = Fitting.objects.filter(bike=wheels_of).values("part")
    on_it = Q(bike=bike) | Q(wheel__in=wheels)
    rows = Fitting.objects.filter(on_it, part__kind=kind, part__place=place).exclude(part=besides)
    return rows.exclude(gone_to="never there").select_related("part").order_by("start", "pk")


def _was_on(fitting: Fitting, bike: Bike) -> bool:
    return fitting.bike_id == bike.pk or any(
        one.bike_id == bike.pk and _meet(fitting, one) for one in _of_wheel(fitting.wheel_id)
    )


def _is_gone(fitting: Fitting, bike: Bike) -> bool:
    """Off the bike now, itself or with its wheel."""
    if fitting.end is not None:
        return True
    return fitting.bike_id is None and not any(
        one.bike_id == bike.pk and one.end is None for one in _of_wheel(fitting.wheel_id)
    )


def _of_wheel(wheel: int | None) -> list[Fitting]:
    if wheel is None:
        return []
    rows = Fitting.objects.filter(part_id=wheel, bike__isnull=False).select_related("bike")
    return list(rows.order_by("start", "pk"))


def _meet(one: Fitting, other: Fitting) -> bool:
    """Whether two stays share a day, or were one day both."""
    first_end, other_end = one.end or date.max, other.end or date.max
    return max(one.start, other.start) < min(first_end, other_end) or one.start == other.start
