"""What is right on a drawn marking, and what a workshop knows of the place before it reads."""

from functools import cache
from math import isclose

from pinchbolt.engines.markings import MarkingCandidate, MarkingContext
from pinchbolt.workshop.markings._place_known import sizes_known
from ratios.marking_texts import DrawnText


@cache
def sizes() -> MarkingContext:
    """Seats and sizes of the trade tables."""
    return sizes_known()


def context_of(text: DrawnText) -> MarkingContext:
    """Bounds of the text's place, and the tables."""
    if text.kind == "tyre-size":
        return sizes()
    return MarkingContext(*(text.bounds or (None, None)))


def right(candidate: MarkingCandidate, text: DrawnText) -> bool:
    """Whether a candidate is the truth: the same figures by name and value, or the same words where no figure is."""
    if text.words:
        return candidate.words == text.words
    told = {one.name: one.value for one in candidate.figures}
    return told.keys() == text.truth.keys() and all(
        isclose(told[name], value, rel_tol=1e-6) for name, value in text.truth.items()
    )
