"""The window of a joint as a small scale: what its parts accept, where the tool may be set, what the bolt may get."""

from pinchbolt.drawing.graduation import easy_step, figure, graduations
from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import side_by_side, width_of, wrapped
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_MARGIN = 4.0
_SMALL = 0.86


def torque_window(
    *,
    floor: float,
    cap: float,
    title: str,
    lowest: float | None = None,
    highest: float | None = None,
    set_at: float | None = None,
    gets: tuple[float, float] | None = None,
    done: float | None = None,
    width: float = 420.0,
    size: float = 13.0,
    paper: bool = False,
    words: bool = True,
) -> str:
    """Return the window of one joint as SVG.

    Args:
        floor: Least that the joint accepts. [N·m]
        cap: Greatest that the joint accepts. [N·m]
        title: What a screen reader says first: the joint. [-]
        lowest: Lowest safe setting; None where no tool has a safe setting. [N·m]
        highest: Highest safe setting. [N·m]
        set_at: Where to set the tool. [N·m]
        gets: Least and greatest that the bolt may get at that setting. [N·m]
        done: Value that was done, if it was. [N·m]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its words. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]
        words: Whether the lines of words stand under the drawing; they are always in its description. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: The window's ends are not in order.
    """
    if not 0 <= floor <= cap < float("inf"):
        raise InputRefused(
            worded(
                "The range is {floor:g} to {cap:g} N·m: the least must not be above the greatest. "
                "Check the markings.",
                floor=floor,
                cap=cap,
            )
        )
    sheet = Drawing(width, size, paper=paper)
    spots = [floor, cap, *(v for v in (lowest, highest, set_at, done) if v is not None), *(gets or ())]
    room = (max(spots) - min(spots)) or max(cap, 1.0) * 0.1
    scale = _Scale(sheet, max(0.0, min(spots) - 0.18 * room), max(spots) + 0.18 * room)
    lines = _lines(floor, cap, lowest, highest, set_at, gets, done)
    y = scale.names(floor, cap)
    y = scale.body(y, floor, cap, lowest, highest)
    y = scale.pointers(y, set_at, gets, done)
    return sheet.finished(_written(sheet, y, lines if words else []), title, "; ".join(lines) + ".")


def _lines(
    floor: float, cap: float, lowest: float | None, highest: float | None, set_at: float | None,
    gets: tuple[float, float] | None, done: float | None,
) -> list[str]:  # fmt: skip
    lines = [worded("the joint accepts {floor:.3g} to {cap:.3g} N·m", floor=floor, cap=cap)]
    if set_at is None:
        lines.append(worded("no tool here has a safe setting"))
    else:
        span = (
            worded(", safe from {lowest:.3g} to {highest:.3g}", lowest=lowest, highest=highest)
            if lowest is not None and highest is not None
            else ""
        )
        lines.append(worded("set the tool to {set_at:.3g} N·m{span}", set_at=set_at, span=span))
        if gets is not None:
            lines.append(worded("the bolt gets {low:.3g} to {high:.3g} N·m", low=gets[0], high=gets[1]))
    if done is not None:
        lines.append(worded("done {done:.3g} N·m", done=done))
    return lines


def _written(sheet: Drawing, y: float, lines: list[str]) -> float:
    y += 0.3 * sheet.size
    for text in lines:
        for line in wrapped(text, sheet.size, sheet.width - 2 * _MARGIN):
            sheet.words("word", _MARGIN, y + 1.1 * sheet.size, line)
            y += 1.4 * sheet.size
    return y + 0.3 * sheet.size


class _Scale:
    """A straight scale in N·m from *low* to *high*."""

    def __init__(self, sheet: Drawing, low: float, high: float) -> None:
        self.sheet, self.low, self.high, self.size = sheet, low, high, sheet.size

    def x(self, torque: float) -> float:
        room = self.sheet.width - 2 * _MARGIN
        return _MARGIN + (torque - self.low) / (self.high - self.low) * room

    def names(self, floor: float, cap: float) -> float:
        """Names of the two posts; returns where they end."""
        texts = [worded("at least {floor:.3g}", floor=floor), worded("at most {cap:.3g} N·m", cap=cap)]
        placed = side_by_side(
            [self.x(floor), self.x(cap)],
            [width_of(text, self.size) for text in texts],
            _MARGIN,
            self.sheet.width - _MARGIN,
            0.6 * self.size,
        )
        rows = max(row for _, row in placed) + 1
        for text, (start, row) in zip(texts, placed, strict=True):
            self.sheet.words("word", start, (rows - row) * 1.35 * self.size - 0.3 * self.size, text)
        return rows * 1.35 * self.size + 0.3 * self.size

    def body(self, y: float, floor: float, cap: float, lowest: float | None, highest: float | None) -> float:
        """The scale: hatched outside the window, dense where a setting is safe."""
        sheet, size, high = self.sheet, self.size, 2.4 * self.size
        sheet.box("steel", _MARGIN, y, sheet.width - 2 * _MARGIN, high, 3)
        sheet.hatched(_MARGIN, y, self.x(floor) - _MARGIN, high)
        sheet.hatched(self.x(cap), y, sheet.width - _MARGIN - self.x(cap), high)
        if lowest is not None and highest is not None:
            sheet.box("safe", self.x(lowest), y, max(2.0, self.x(highest) - self.x(lowest)), 0.5 * size)
        step = self._step()
        for value in graduations(self.low, self.high, step):
            words = figure(value, step)
            wide = width_of(words, size * _SMALL)
            if floor - 1e-9 <= value <= cap + 1e-9:
                sheet.line("tick", self.x(value), y, self.x(value), y + 0.9 * size)
                start = min(max(self.x(value) - wide / 2, self.x(floor) + 2), self.x(cap) - wide - 2)
                if start >= self.x(floor) + 2 or cap == floor:
                    sheet.words("figure", start, y + 2.0 * size, words, size * _SMALL)
        for post in (floor, cap):
            sheet.line("limit", self.x(post), y, self.x(post), y + high)
        sheet.box("edge", _MARGIN, y, sheet.width - 2 * _MARGIN, high, 3)
        return y + high

    def _step(self) -> float:
        room = self.sheet.width - 2 * _MARGIN
        for most in (10, 8, 6, 5, 4, 3, 2):
            step = easy_step(self.high - self.low, most)
            if (
                room * step / (self.high - self.low)
                >= width_of(figure(self.high, step), self.size * _SMALL) * 2
            ):
                return step
        return easy_step(self.high - self.low, 1)

    def pointers(
        self, y: float, set_at: float | None, gets: tuple[float, float] | None, done: float | None
    ) -> float:
        """Set point as a pointer from below, what the bolt may get as a bracket, the done value as a diamond."""
        sheet, size = self.sheet, self.size
        if set_at is None and done is None:
            return y
        if set_at is not None:
            x, half = self.x(set_at), 0.45 * size
            sheet.shape("now", [(x, y + 1), (x - half, y + 1 + 0.9 * size), (x + half, y + 1 + 0.9 * size)])
        if gets is not None:
            a, b, foot = self.x(gets[0]), self.x(gets[1]), y + 1.25 * size
            sheet.path("read", [(a, y + 2), (a, foot), (b, foot), (b, y + 2)])
        if done is not None:
            x, middle, half = self.x(done), y + 0.75 * size, 0.6 * size
            sheet.shape(
                "now",
                [(x - 0.7 * half, middle), (x, middle - half), (x + 0.7 * half, middle), (x, middle + half)],
            )
        return y + 1.5 * size
