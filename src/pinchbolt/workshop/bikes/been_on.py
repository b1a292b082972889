"""Which bike a part was on, itself or by a wheel that carried it, and which parts of its kind were there before it."""

from collections.abc import Mapping
from datetime import date

from django.db.models import Q, QuerySet

from pinchbolt.records.models import Bike, Fitting, Part, Trainer
from pinchbolt.records.prepared import prepared
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.fittings import first_fitting, fittings_of


def last_bike(part: Part) -> Bike | None:
    """Return the bike that a part is on or was last on; a trainer on which it stands meanwhile is none."""
    for fitting in reversed(fittings_of(part)):
        if fitting.bike is not None:
            return fitting.bike
        found = [one for one in _of_wheel(fitting) if _meet(fitting, one)]
        if found:
            return found[-1].bike
    return None


@once_a_look.of(Fitting, Part, Bike, Trainer)
def parts_before(part: Part, bike: Bike) -> tuple[Part, ...]:
    """Return the parts of this kind and place that were on a bike before this one came, the oldest first.

    A part on a wheel was on the bike while the wheel was; what was struck off as never there was not.
    """
    mine = first_fitting(part)
    gone = [
        one
        for one in _ever_on(bike.pk).get((part.kind, part.place), ())
        if one.part_id != part.pk
        and (mine is None or one.start <= mine.start)
        and _was_on(one, bike)
        and _is_gone(one, bike)
    ]
    return tuple({one.part_id: one.part for one in gone}.values())


@once_a_look.of(Fitting, Part)
def _ever_on(bike: int) -> Mapping[tuple[str, str], list[Fitting]]:
    """What ever was on a bike or on one of its wheels, by kind and place, the oldest first."""
    found: dict[tuple[str, str], list[Fitting]] = {}
    for one in _fitted(bike, bike):
        found.setdefault((one.part.kind, one.part.place), []).append(one)
    return found


@prepared
def _fitted(bike: int, wheels_of: int) -> QuerySet[Fitting]:
    # Its wheels by themselves: a join over all that ever carried anything reads every bike's fittings.
    wheels = Fitting.objects.filter(bike=wheels_of).values("part")
    rows = Fitting.objects.filter(Q(bike=bike) | Q(wheel__in=wheels)).exclude(gone_to="never there")
    return rows.select_related("part", "wheel").order_by("start", "pk")


def _was_on(fitting: Fitting, bike: Bike) -> bool:
    return fitting.bike_id == bike.pk or any(
        one.bike_id == bike.pk and _meet(fitting, one) for one in _of_wheel(fitting)
    )


def _is_gone(fitting: Fitting, bike: Bike) -> bool:
    """Off the bike now, itself or with its wheel."""
    if fitting.end is not None:
        return True
    return fitting.bike_id is None and not any(
        one.bike_id == bike.pk and one.end is None for one in _of_wheel(fitting)
    )


def _of_wheel(fitting: Fitting) -> list[Fitting]:
    """Where the wheel was to which something was fitted: on which bikes, the first first."""
    return (
        [one for one in fittings_of(fitting.wheel) if one.bike_id is not None]
        if fitting.wheel is not None
        else []
    )


def _meet(one: Fitting, other: Fitting) -> bool:
    """Whether two stays share a day, or were one day both."""
    first_end, other_end = one.end or date.max, other.end or date.max
    return max(one.start, other.start) < min(first_end, other_end) or one.start == other.start
