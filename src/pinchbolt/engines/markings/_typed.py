"""A marking as a person types it, and when two markings are one."""

from pinchbolt.engines.markings._letters import CopyLine, plain
from pinchbolt.engines.markings._read_texts import GRAMMAR
from pinchbolt.engines.markings.markings_types import (
    DoubtKind,
    MarkingCandidate,
    MarkingContext,
    MarkingFigure,
    MarkingKind,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_WHOLE = (0.0, 0.0, 1.0, 1.0)
# What a hand that typed it may leave open: the place may be unknown, and a unit is not typed by everybody.
_LET_PASS = {DoubtKind.RANGE, DoubtKind.NO_UNIT, DoubtKind.TABLE, DoubtKind.POINT}


def typed_marking(kind: MarkingKind, words: str, context: MarkingContext | None = None) -> MarkingCandidate:
    """Return a marking as a person typed it, read by the same grammar as a photo.

    Args:
        kind: What is marked. [-]
        words: As printed: "MAX 5 N·m", "40-622", "A2-70". [-]
        context: Tables of tyre sizes; bounds do not matter here. [N·m, m or Pa]

    Returns:
        The marking, in SI. [-]

    Raises:
        InputRefused: No marking of this kind, or two units that disagree.

    Valid for: As for `read_texts`.

    Example:
        >>> typed_marking(MarkingKind.TORQUE, "4 - 6 Nm").words
        '4 to 6 N·m'

    Source: Grammar of `read_texts`.
    """
    line = CopyLine(plain(words), 1.0, _WHOLE, "typed", "typed")
    found = [
        one for one in GRAMMAR[kind](line.text, context or MarkingContext()) if not one.doubts - _LET_PASS
    ]
    if not found:
        sentence = worded(
            'Marked "{words}": that is no marking of kind {kind}. Write it as it is printed, with its unit.',
            words=words[:40],
            kind=kind,
        )
        raise InputRefused(sentence, {"marked": sentence})
    first = found[0]
    return MarkingCandidate(first.words, first.figures, words, ("typed",), _WHOLE, first.why, ())


def same_marking(one: MarkingCandidate, other: MarkingCandidate) -> bool:
    """Return whether two markings say the same: every figure by name and value, the words where there is none.

    Args:
        one: A marking. [-]
        other: Another of the same kind. [-]

    Returns:
        Whether they are one; values may differ in the fifth figure. [-]

    Valid for: Markings of one kind. "5 bar" and "73 psi" are two: the second is 5.03 bar.

    Source: Own choice.
    """
    if not one.figures and not other.figures:
        return one.words == other.words
    return _told(one.figures) == _told(other.figures)


def _told(figures: tuple[MarkingFigure, ...]) -> dict[str, float]:
    return {figure.name: float(f"{figure.value:.4g}") for figure in figures}
