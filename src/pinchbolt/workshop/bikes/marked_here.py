"""What is marked on the parts of a bike beside what the tables have: for whoever reads them."""

from collections.abc import Mapping
from dataclasses import dataclass

from pinchbolt.records.models import Bike
from pinchbolt.workshop.bikes.build_view import CanBeMarked, build_seen_of


@dataclass(frozen=True, slots=True)
class MarkDue:
    """A limit of a part that may be marked on it, and what is: None where nobody has read a marking."""

    part: int
    can: CanBeMarked
    marked: float | None

    @property
    def is_marked(self) -> bool:
        """Whether a figure is on record."""
        return self.marked is not None


def marks_of(bike: Bike) -> Mapping[tuple[int, str], MarkDue]:
    """Return what may be marked on a bike's parts, by part and limit."""
    return {
        (part.id, can.limit): MarkDue(
            part.id, can, next((one.value for one in part.markings if one.limit == can.limit), None)
        )
        for part in build_seen_of(bike).parts
        for can in part.can_be_marked
    }
