"""Which part stands at which place of the drawing, and what is said there."""

from collections.abc import Iterable
from dataclasses import dataclass

from pinchbolt.drawing import PLACES, Spot
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import PartView


@dataclass(frozen=True, slots=True)
class AtPlace:
    """A place with its parts."""

    place: str
    words: str
    parts: tuple[PartView, ...]

    @property
    def told(self) -> tuple[PartView, ...]:
        """Parts with a life of their own here: read, or fitted on a day that is known."""
        return tuple(part for part in self.parts if part.last or part.since_known)

    @property
    def rest(self) -> tuple[PartView, ...]:
        """The other parts: on the bike since before the records began, and never read."""
        told = {part.id for part in self.told}
        return tuple(part for part in self.parts if part.id not in told)


def at_places(parts: Iterable[PartView]) -> tuple[AtPlace, ...]:
    """Return the parts gathered by corner, in the order of the drawing; corners without a part are left out."""
    found: dict[str, list[PartView]] = {corner: [] for corner in tables().corners}
    for part in parts:
        found[part.spot].append(part)
    return tuple(
        AtPlace(corner, tables().corners[corner].words, tuple(here)) for corner, here in found.items() if here
    )


def spots(places: Iterable[AtPlace]) -> tuple[Spot, ...]:
    """Return the places as the drawing takes them: the worst last finding of each, and how much was never read."""
    made = []
    for one in (place for place in places if place.place in PLACES):
        worst = max(
            (Verdict(f.verdict) for part in one.parts for f in part.last),
            key=lambda verdict: verdict.rank,
            default=None,
        )
        note = (
            worst.value
            if worst
            else (
                worded("no reading yet")
                if any(part.limits for part in one.parts)
                else worded("nothing to measure")
            )
        )
        made.append(Spot(one.place, one.words, note, f"#{one.place}", worst.value if worst else ""))
    return tuple(made)
