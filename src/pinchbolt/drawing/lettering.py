"""How wide a text is, where its lines break, and how labels stand side by side without touching."""

from collections.abc import Sequence

# Advance widths of the face in fonts/ in hundredths of its size, the widest of regular, bold and italic, rounded up to 5.
_HUNDREDTHS = {
    20: "'|",
    25: ',;·',
    30: '.:Iij°',
    35: ' !l’',
    40: '"frt',
    45: '()-J[s',
    50: ']cz“”',
    55: '$*/=?FLS\\_`aekvxy–£',
    60: '+CEKPTYZbdghnopqu}',
    65: '0123456789<>ABDRVX{',
    70: '&GHU€',
    75: 'N^w~…½',
    80: 'OQ×',
    85: '#',
    90: '%Mm',
    95: 'W',
    100: '@',
}  # fmt: skip
_WIDTH = {letter: width / 100 for width, letters in _HUNDREDTHS.items() for letter in letters}
_UNLISTED = 1.0
_SPARE = 1.06
"""Room for another face of the page and for rounding."""


def width_of(text: str, size: float) -> float:
    """Return how much room *text* takes at a font size, a little on the safe side. Unit: that of *size*."""
    return sum(_WIDTH.get(letter, _UNLISTED) for letter in text) * size * _SPARE


def wrapped(text: str, size: float, room: float) -> list[str]:
    """Return *text* broken into lines of at most *room*; a single word that is longer is cut with an ellipsis."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(_cut(word, size, room))
    return lines


def _cut(word: str, size: float, room: float) -> str:
    if width_of(word, size) <= room:
        return word
    kept = word
    while len(kept) > 1 and width_of(kept + "…", size) > room:
        kept = kept[:-1]
    return kept + "…"


def side_by_side(
    anchors: Sequence[float], widths: Sequence[float], left: float, right: float, gap: float
) -> list[tuple[float, int]]:
    """Return for each label where it starts and in which row (0 the nearest), none touching another.

    Labels stand centred over their anchors as far as they can; where they would stray from their anchors, every second
    one moves a row away.
    """
    order = sorted(range(len(anchors)), key=lambda n: anchors[n])
    rows = [order]
    for _ in range(len(anchors)):
        found = [
            _in_a_row([anchors[n] for n in row], [widths[n] for n in row], left, right, gap) for row in rows
        ]
        if all(starts is not None for starts in found):
            break
        crowded = next(n for n, starts in enumerate(found) if starts is None)
        rows[crowded : crowded + 1] = [rows[crowded][1::2], rows[crowded][::2]]
    placed: list[tuple[float, int]] = [(left, 0)] * len(anchors)
    for number, row in enumerate(rows):
        starts = _in_a_row([anchors[n] for n in row], [widths[n] for n in row], left, right, gap)
        for n, start in zip(row, starts or [left] * len(row), strict=True):
            placed[n] = (start, number)
    return placed


def _in_a_row(
    anchors: Sequence[float], widths: Sequence[float], left: float, right: float, gap: float
) -> list[float] | None:
    """Starts of labels in one row, or None where one of them could not stand over its anchor."""
    starts = [min(max(left, x - w / 2), right - w) for x, w in zip(anchors, widths, strict=True)]
    for n in range(1, len(starts)):
        starts[n] = max(starts[n], starts[n - 1] + widths[n - 1] + gap)
    edge = right
    for n in reversed(range(len(starts))):
        starts[n] = min(starts[n], edge - widths[n])
        edge = starts[n] - gap
    if len(starts) > 1 and starts[0] < left - 1e-9:
        return None
    strays = any(
        not s - 1 <= min(max(x, left), right) <= s + w + 1
        for s, x, w in zip(starts, anchors, widths, strict=True)
    )
    return None if strays and len(starts) > 1 else starts
