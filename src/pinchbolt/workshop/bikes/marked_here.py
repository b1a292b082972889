"""What is marked on the parts of a bike beside what the tables have: for whoever reads them."""

from collections.abc import Mapping
from dataclasses import dataclass

from pinchbolt.records.models import Bike
from pinchbolt.workshop.bikes.build_view import BuildPartView, CanBeMarked, build_seen_of
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


def marks_of(bike: Bike) -> Mapping[tuple[int, str], MarkDue]:
    """Return what may be marked on a bike's parts, by part and limit."""
    return {
        (part.id, can.limit): _due(part, can)
        for part in build_seen_of(bike).parts
        for can in part.can_be_marked
    }


def _due(part: BuildPartView, can: CanBeMarked) -> MarkDue:
    found = next((one for one in part.markings if one.limit == can.limit), None)
    by_photo = bool(tables().limits[can.limit].marked_as)
    if found is None:
        return MarkDue(part.id, can, None, None, by_photo)
    return MarkDue(part.id, can, found.value, found.event if found.has_photo else None, by_photo)
