"""What a text reader makes of print: letters where figures stand, points that are commas, pieces of one line."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from pinchbolt.engines.markings.markings_types import TextSeen

# What a reader takes a figure for, and back. Common practice, no source.
DIGIT_FOR = {
    "O": "0",
    "o": "0",
    "Q": "0",
    "D": "0",
    "l": "1",
    "I": "1",
    "|": "1",
    "S": "5",
    "s": "5",
    "B": "8",
    "Z": "2",
    "z": "2",
}
_LETTER = "OoQDlI|SsBZz"
# A number as printed: figures, or letters that stand for them, with at least one figure unless a unit follows at once.
NUMBER = rf"(?<![\w.])(?:[\d{_LETTER}]{{1,4}}(?:\.[\d{_LETTER}]{{1,3}})?)"
APART = r"\s*(?:-|~|to|\.\.\.?|bis)\s*"
_ONE_SORT = str.maketrans("–—−×•∙，（）", "---x··,()")
_BEFORE = re.compile(
    r"(?<![a-z])(m[a4]x(?:imum)?|m[i1l]n(?:imum)?|th|thick(?:ness)?|torque|press(?:ure)?|inflate(?: ?to)?|max ?press(?:ure)?)"
    r"\s?[.:=·]?\s?(?=\d)",
    re.IGNORECASE,
)
# The end of a figure whose beginning was cut off: .5 Nm of a 4.5 Nm, -8 of a 5-8. A dash or point of "in-1b" is none.
CUT = re.compile(r"(?:(?<!\d)(?<!\d\s)(?:^|\s)[-~.]|[A-Za-z]\.)\s?\d(?![bB])")


@dataclass(frozen=True, slots=True)
class Printed:
    """A number as it was printed: its value, its decimals, and whether a letter stood for a figure."""

    value: float
    decimals: int
    letters: bool

    @property
    def half(self) -> float:
        """Half a unit of the last figure: what rounding may have taken or given."""
        return 0.5 * 10.0**-self.decimals


def printed(text: str) -> Printed | None:
    """Return the number that stands there, or None where nothing of it is a figure and no letter stands for one."""
    figures = "".join(DIGIT_FOR.get(one, one) for one in text)
    if not re.fullmatch(r"\d*\.?\d+", figures):
        return None
    return Printed(float(figures), len(figures.partition(".")[2]), figures != text)


def plain(text: str) -> str:
    """Return a text with one sort of dash, cross, point and blank."""
    text = text.translate(_ONE_SORT)
    text = re.sub(r"(?<=\d)\s?,\s?(?=\d)", ".", text)
    # MAX5 and TH.1.5: a word that stands right before the figure is set apart from it, with the point or dash that ends the word.
    text = _BEFORE.sub(r"\1 ", text)
    # Between figures a dot at half height is the point of a stamp that sits high.
    text = re.sub(r"(?<=\d)·(?=\d)", ".", text)
    return " ".join(text.split())


@dataclass(frozen=True, slots=True)
class CopyLine:
    """All that one copy shows, in reading order."""

    text: str
    score: float
    box: tuple[float, float, float, float]
    copy: str
    cut: str


def lines(texts: Sequence[TextSeen]) -> list[CopyLine]:
    """Return one line for each copy: its pieces from left to right, and row under row."""
    copies: dict[str, list[TextSeen]] = {}
    for one in texts:
        if one.text.strip():
            copies.setdefault(one.copy, []).append(one)
    return [_joined(copy, pieces) for copy, pieces in copies.items()]


def _joined(copy: str, pieces: Sequence[TextSeen]) -> CopyLine:
    rows: list[list[TextSeen]] = []
    for piece in sorted(pieces, key=lambda one: one.box[1] + one.box[3]):
        row = next((row for row in rows if _beside(row[-1], piece)), None)
        if row is None:
            rows.append([piece])
        else:
            row.append(piece)
    ordered = [piece for row in rows for piece in sorted(row, key=lambda one: one.box[0])]
    boxes = [piece.box for piece in ordered]
    around = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    text = " ".join(plain(piece.text) for piece in ordered)
    return CopyLine(text, min(piece.score for piece in ordered), around, copy, ordered[0].cut)


def _beside(one: TextSeen, other: TextSeen) -> bool:
    """Two pieces stand on one line where the lower part of neither begins below the middle of the other."""
    middle, their = (one.box[1] + one.box[3]) / 2, (other.box[1] + other.box[3]) / 2
    return other.box[1] < middle < other.box[3] or one.box[1] < their < one.box[3]
