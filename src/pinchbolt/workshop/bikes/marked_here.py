"""What is marked on the parts of a bike beside what the tables have: for whoever reads them."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from pinchbolt.records.models import Bike
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.build_view import CanBeMarked, MarkingView, limits_to_mark, markings_on
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class MarkDue:
    """A limit of a part that may be marked on it, and what is: None where nobody has read a marking.

    `photo` is the act that bears its photo; `by_photo`: such a marking is read off a photo.
    """

    part: int
    can: CanBeMarked
    marked: float | None
    photo: int | None = None
    by_photo: bool = False

    @property
    def is_marked(self) -> bool:
        """Whether a figure is on record."""
        return self.marked is not None


def marks_of(bike: Bike, parts: Collection[int]) -> Mapping[tuple[int, str], MarkDue]:
    """Return what may be marked on these parts of a bike, by part and limit."""
    build = sheet_of_bike(bike).build
    markings = markings_on(parts)
    return {
        (on.id, can.limit): _due(on.id, can, markings.get(on.id, ()))
        for on in build.parts
        if on.id in parts
        for can in limits_to_mark(build, on)
    }


def _due(part: int, can: CanBeMarked, markings: Iterable[MarkingView]) -> MarkDue:
    found = next((one for one in markings if one.limit == can.limit), None)
    by_photo = bool(tables().limits[can.limit].marked_as)
    if found is None:
        return MarkDue(part, can, None, None, by_photo)
    return MarkDue(part, can, found.value, found.event if found.has_photo else None, by_photo)
