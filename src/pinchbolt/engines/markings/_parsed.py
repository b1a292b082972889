"""What one copy of a photo says, once the grammar of its kind was laid over it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from pinchbolt.engines.markings._letters import DIGIT_FOR
from pinchbolt.engines.markings.markings_types import DoubtKind, MarkingFigure

# Words that stand beside a figure and limit it or say what it is.
WORDS = re.compile(
    r"\b(?:m[a4]x(?:imum)?|m[i1l]n(?:imum)?|torque|press(?:ure)?|tyre|tire|inflate|thickness|thick|th|rotor|disc|limit|wear|class|battery|"
    r"speed|serial|no|nr|rec|recommended|use|only|tighten|to|at|between|and|from|or)\b\.?",
    re.IGNORECASE,
)
MAX = re.compile(r"(?<![a-z])(?:m[a4]x|≤|<)|up to", re.IGNORECASE)
MIN = re.compile(r"(?<![a-z])(?:m[i1l]n|≥|>)(?!d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Parsed:
    """One reading: figures, the marking in words, what speaks against it, and whether the marking bears itself out.

    `key` is what makes two readings the same; `loose` says that figures stand beside it which the grammar has no use for.
    """

    figures: tuple[MarkingFigure, ...]
    words: str
    doubts: frozenset[DoubtKind] = frozenset()
    why: tuple[str, ...] = ()
    checked: bool = False
    loose: bool = False
    key: tuple[tuple[str, float | str], ...] = field(default=())

    def keyed(self) -> tuple[tuple[str, float | str], ...]:
        """Name and value of every figure, rounded far below any print; the words where there is none."""
        return (
            self.key
            or tuple((one.name, float(f"{one.value:.4g}")) for one in self.figures)
            or (("words", self.words),)
        )


def left_over(text: str, used: Iterable[tuple[int, int]]) -> bool:
    """Whether figures, or a dash or point that led to one, are left once what was used and the usual words are taken out."""
    kept = list(text)
    spans = list(used)
    for start, end in spans:
        kept[start:end] = "\0" * (end - start)
    rest = WORDS.sub(" ", "".join(kept))
    # A dash or a point right before the figure: something in front of it was cut off.
    if re.search(r"[-~.]\s?\0", rest) and not re.search(r"[a-z)]\.?\s?\0", rest.lower()):
        return True
    return bool(re.search(r"\d", rest))


def shown(value: float, decimals: int = 0) -> str:
    """A figure as printed: its decimals stay."""
    return f"{value:.{decimals}f}"


def letters_in(text: str) -> bool:
    """Whether a letter that may be a figure stands right beside one."""
    return bool(re.search(rf"(?<=\d)[{re.escape(''.join(DIGIT_FOR))}](?![a-zA-Z])", text))
