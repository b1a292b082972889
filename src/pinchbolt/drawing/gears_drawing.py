"""Gears as the legs feel them: every gear on a scale of equal steps by ratio, a row for each ring, now and after a swap."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_MARGIN = 4.0
_SMALL = 0.86
# Marks of the scale, as many of them as have room. [m]
_MARKS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0)


@dataclass(frozen=True, slots=True)
class GearAt:
    """One gear: its sprocket, or its number in a hub gear, how far a turn of the crank goes, and whether the chain is crossed. [teeth, m]"""

    sprocket: int
    development_m: float
    crossed: bool = False


@dataclass(frozen=True, slots=True)
class RingRow:
    """The gears of one chainring; `when` is "now", "after", or empty where nothing is compared."""

    ring: int
    gears: tuple[GearAt, ...]
    when: str = ""


def gears_drawing(
    rows: Sequence[RingRow], *, title: str, width: float = 640.0, size: float = 15.0, paper: bool = False
) -> str:
    """Return the gears of a drive as SVG, those of a swap below those of now on the same scale.

    Args:
        rows: A row a ring, in the order in which they are drawn. [-]
        title: What a screen reader says first. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its words. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: No row, a row without a gear, or a development that is not above 0.
    """
    ways = [gear.development_m for row in rows for gear in row.gears]
    if not ways or not all(row.gears for row in rows) or not all(0 < way < float("inf") for way in ways):
        raise InputRefused(
            worded("The drawing of gears has none to show: each ring has at least one gear. Count the teeth.")
        )
    sheet = Drawing(width, size, paper=paper)
    names = [f"{row.ring} {row.when}".strip() for row in rows]
    left = _MARGIN + max(width_of(name, size) for name in names) + 0.8 * size
    scale = _Scale(min(ways), max(ways), left + 0.6 * size, width - _MARGIN - 0.6 * size)
    marks = _row_of_marks(sheet, scale, size)
    y = 1.8 * size
    for row, name in zip(rows, names, strict=True):
        for mark in marks:
            sheet.line("minor", scale.x(mark), y - 0.2 * size, scale.x(mark), y + 1.3 * size)
        y = _ring(sheet, scale, row, name, y)
    return sheet.finished(y + 0.4 * size, title, _told(rows))


class _Scale:
    """Equal steps by ratio between two ends."""

    def __init__(self, low: float, high: float, left: float, right: float) -> None:
        room = log(high / low) if high > low else 0.1
        self.low, self.high = low, high
        self._start, self._span = log(low) - 0.03 * room, 1.06 * room
        self.left, self.right = left, right

    def x(self, way: float) -> float:
        """Where a development stands."""
        return self.left + (log(way) - self._start) / self._span * (self.right - self.left)


def _row_of_marks(sheet: Drawing, scale: _Scale, size: float) -> list[float]:
    """The scale in metres a turn of the crank; gives back the marks that had room."""
    baseline = 1.1 * size
    drawn = []
    unit = worded("metres per pedal turn")
    stop = scale.right - width_of(unit, size * _SMALL) - 0.6 * size
    free = 0.0
    for mark in _MARKS:
        words = f"{mark:g}"
        wide = width_of(words, size * _SMALL)
        x = scale.x(mark)
        if scale.low * 0.97 <= mark <= scale.high * 1.03 and x - wide / 2 > free and x + wide / 2 < stop:
            sheet.words("figure", x - wide / 2, baseline, words, size * _SMALL)
            drawn.append(mark)
            free = x + wide / 2 + 0.5 * size
    sheet.words("word", scale.right - width_of(unit, size * _SMALL), baseline, unit, size * _SMALL)
    return drawn


def _ring(sheet: Drawing, scale: _Scale, row: RingRow, name: str, y: float) -> float:
    """One ring: a bar over its range, a stroke a gear (short where the chain is crossed), sprockets where there is room."""
    size, high = sheet.size, 1.3 * sheet.size
    low, top = min(g.development_m for g in row.gears), max(g.development_m for g in row.gears)
    sheet.words("word", _MARGIN, y + 1.05 * size, name)
    ink = "safe" if row.when == "after" else "steel"
    sheet.box(ink, scale.x(low), y, max(2.0, scale.x(top) - scale.x(low)), high)
    free = scale.left - size
    for gear in sorted(row.gears, key=lambda one: one.development_m):
        x = scale.x(gear.development_m)
        if gear.crossed:
            sheet.line("minor", x, y + 0.4 * high, x, y + high)
        else:
            sheet.line("limit" if row.when == "after" else "warn", x, y, x, y + high)
        words = f"{gear.sprocket}"
        wide = width_of(words, size * _SMALL)
        if x - wide / 2 > free:
            sheet.words("figure", x - wide / 2, y + high + 0.95 * size, words, size * _SMALL)
            free = x + wide / 2 + 0.25 * size
    return y + 2.9 * size


def _told(rows: Sequence[RingRow]) -> str:
    """The same in words, for whoever hears the drawing."""
    lines = []
    for row in rows:
        gears = sorted(row.gears, key=lambda one: one.development_m)
        when = f"{row.when}: " if row.when else ""
        lines.append(
            worded(
                "{when}ring {ring}, {gears} gears from {least_m:.2f} m (sprocket {big_sprocket}) "
                "to {greatest_m:.2f} m (sprocket {small_sprocket})",
                when=when,
                ring=row.ring,
                gears=len(gears),
                least_m=gears[0].development_m,
                big_sprocket=gears[0].sprocket,
                greatest_m=gears[-1].development_m,
                small_sprocket=gears[-1].sprocket,
            )
        )
    return "; ".join(lines) + "."
