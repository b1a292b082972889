"""Markings: what is printed, etched or stamped on a part, from what a text reader saw of it."""

from pinchbolt.engines.markings._read_texts import read_texts
from pinchbolt.engines.markings._typed import same_marking, typed_marking
from pinchbolt.engines.markings.markings_types import (
    DoubtKind,
    MarkingCandidate,
    MarkingContext,
    MarkingDoubt,
    MarkingFigure,
    MarkingKind,
    MarkingRead,
    Sureness,
    TextSeen,
)

__all__ = [
    "DoubtKind",
    "MarkingCandidate",
    "MarkingContext",
    "MarkingDoubt",
    "MarkingFigure",
    "MarkingKind",
    "MarkingRead",
    "Sureness",
    "TextSeen",
    "read_texts",
    "same_marking",
    "typed_marking",
]
