"""Where a part was: its fittings, looked up for one part or for all parts of a bike together."""

from collections.abc import Iterable

from django.db.models import QuerySet

from pinchbolt.records.models import Bike, Fitting, Part, Trainer
from pinchbolt.records.prepared import prepared
from pinchbolt.workshop.acts.one_look import once_a_look


@once_a_look.of(Fitting, Part, Bike, Trainer)
def fittings_of(part: Part) -> tuple[Fitting, ...]:
    """Return the fittings of a part, the oldest first, each with its bike, trainer or wheel."""
    return tuple(_rows((part.pk,)))


def look_up_fittings(parts: Iterable[Part]) -> None:
    """Look up the fittings of these parts, and of the wheels they were on, in two questions."""
    asked = {part.pk: part for part in parts}
    rows = _rows(tuple(asked))
    wheels = {row.wheel_id: row.wheel for row in rows if row.wheel is not None and row.wheel_id not in asked}
    rows += _rows(tuple(number for number in wheels if number is not None))
    found: dict[int | None, list[Fitting]] = {number: [] for number in (*asked, *wheels)}
    for row in rows:
        found[row.part_id].append(row)
    fittings_of.many({(part,): tuple(found[part.pk]) for part in (*asked.values(), *wheels.values())})


def first_fitting(part: Part) -> Fitting | None:
    """Return the first fitting of a part."""
    return next(iter(fittings_of(part)), None)


@prepared
def _rows(parts: tuple[int, ...]) -> QuerySet[Fitting]:
    rows = Fitting.objects.select_related("bike", "trainer", "wheel").order_by("start", "pk")
    return rows.filter(part__in=parts)
