"""From texts that a reader saw to what is marked on the part."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from pinchbolt.engines.markings._letters import CUT, CopyLine, lines
from pinchbolt.engines.markings._names_read import bolt_classes, frame_numbers
from pinchbolt.engines.markings._parsed import Parsed
from pinchbolt.engines.markings._quantities import pressures, torques
from pinchbolt.engines.markings._single_figures import batteries, diameters, speeds, thicknesses
from pinchbolt.engines.markings._sizes_read import tyre_sizes
from pinchbolt.engines.markings._weighing import UNREAD, judged
from pinchbolt.engines.markings.markings_types import MarkingContext, MarkingKind, MarkingRead, TextSeen


def _rim_limits(text: str, context: MarkingContext) -> list[Parsed]:
    """What a rim bears: a pressure; or, where millimetres are printed, how thin its wall may be."""
    if re.search(r"\dm?\s?mm\b", text, re.IGNORECASE):
        return thicknesses(text, MarkingContext())
    return pressures(text, context)


GRAMMAR: Mapping[MarkingKind, Callable[[str, MarkingContext], list[Parsed]]] = {
    MarkingKind.TORQUE: torques,
    MarkingKind.ROTOR_LIMIT: thicknesses,
    MarkingKind.PAD_LIMIT: thicknesses,
    MarkingKind.TYRE_SIZE: tyre_sizes,
    MarkingKind.PRESSURE: pressures,
    MarkingKind.RIM_LIMIT: _rim_limits,
    MarkingKind.DIAMETER: diameters,
    MarkingKind.BOLT_CLASS: bolt_classes,
    MarkingKind.BATTERY: batteries,
    MarkingKind.SPEED: speeds,
    MarkingKind.FRAME_NUMBER: frame_numbers,
}


def read_texts(
    kind: MarkingKind, texts: Sequence[TextSeen], context: MarkingContext | None = None
) -> MarkingRead:
    """Return what is marked on the part, from what a reader saw on copies of one photo.

    The pieces of each copy are joined to one line; the grammar of the kind reads it; readings are the same where all figures are.
    Each copy has a vote, as strong as the reader is sure and weaker for each doubt of the grammar. Sure enough to offer is one
    reading that enough copies show without a doubt, from more than one cut, against hardly any other. A copy that shows the end of
    a figure (".5 Nm"), or figures that the grammar has no use for, speaks against whatever the others say.

    Args:
        kind: What is looked for. [-]
        texts: What was seen, of all copies. [-]
        context: What is known of the place: bounds in SI, tables of tyre sizes. [N·m, m or Pa]

    Returns:
        One of three answers, with candidates in SI, the likeliest first. [-]

    Valid for: Markings in Latin letters, in the units of the trade.

    Example:
        >>> seen = [TextSeen("MAX 5 N-m (44 in-1b)", 0.9, (0, 0, 1, 1), f"copy {n}", f"cut {n % 2}") for n in range(4)]
        >>> found = read_texts(MarkingKind.TORQUE, seen, MarkingContext(2.0, 12.0))
        >>> found.sureness.value, found.candidates[0].words, found.candidates[0].why[1]
        ('sure enough to offer', 'MAX 5 N·m', '5 N·m and 44 in·lb are the same')

    Source: Factors by NIST SP 811 (2008), Appendix B.8; pairs of ISO 5775-1; classes of ISO 898-1 and ISO 3506-1; how votes
        are weighed is own choice, scored by `make score-markings`.
    """
    known = context or MarkingContext()
    votes: list[tuple[Parsed, CopyLine]] = []
    against = 0.0
    for line in lines(texts):
        cut = bool(CUT.search(line.text))
        found = GRAMMAR[kind](line.text, known)
        votes += [(replace(one, loose=True) if cut else one, line) for one in found]
        if cut:
            against += line.score
        elif not found and re.search(r"\d", line.text):
            against += UNREAD * line.score
    return judged(kind, votes, against, texts)
