"""The wear rule: a steel rule from new to limit, the reading on it, what is believed now, and the forecast ahead."""

from math import inf

from pinchbolt.drawing.drawn_forecast import DrawnForecast
from pinchbolt.drawing.graduation import amount, easy_step, figure, graduations
from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import side_by_side, width_of, wrapped
from pinchbolt.drawing.wear_facts import WearFacts, ahead_words, now_words, read_words, wear_facts
from pinchbolt.values.wording import worded

_SLICES = 9
_MARGIN = 4.0
_SMALL = 0.86


def wear_rule(
    forecast: DrawnForecast,
    *,
    title: str,
    width: float = 640.0,
    size: float = 14.0,
    paper: bool = False,
    words: bool = True,
) -> str:
    """Return the wear rule of one part as SVG.

    The rule runs from new (left) to the limit (right end of the ink) and is graduated in the part's own unit, whichever
    way that runs; past the limit it is hatched. Above it stand the names of the marks and the bracket of what the
    instrument showed; below it what is believed now (diamond, half the cases, 8 cases in 10) and the wedge of the
    forecast with use in km, hours or days. Lines of words say the same again.

    Args:
        forecast: As kept with a finding; its `reading` (low, high, sure_low, sure_high) gives the bracket. [-]
        title: What a screen reader says first: part and place. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its words. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]
        words: Whether the lines of words stand under the drawing; they are always in its description. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: New and limit are the same.

    Valid for: Widths from 20 times the size of the words.
    """
    facts = wear_facts(forecast)
    sheet = Drawing(width, size, paper=paper)
    rule = _Rule(sheet, facts)
    told = [line for line in (read_words(facts), now_words(facts), ahead_words(facts)) if line]
    height = rule.draw(told if words else [])
    return sheet.finished(height, title, _told(facts, told))


def _told(facts: WearFacts, lines: list[str]) -> str:
    marks = worded(
        "new {new:.3g}, warning at {warn:.3g}, limit {limit:.3g} {unit}",
        new=facts.new,
        warn=facts.warn,
        limit=facts.limit,
        unit=facts.unit,
    )
    marks += (
        ""
        if facts.danger is None
        else worded(", unsafe from {danger:.3g} {unit}", danger=facts.danger, unit=facts.unit)
    )
    return "; ".join([marks, *lines]) + "."


class _Rule:
    """One rule on its sheet. `y` runs down as pieces are added."""

    def __init__(self, sheet: Drawing, facts: WearFacts) -> None:
        self.sheet, self.facts, self.size = sheet, facts, sheet.size
        self.left, self.right = facts.edges
        self.step = self._step()

    def x(self, share: float) -> float:
        """Where a share of the way from new to limit lies; beyond the edges counts as at the edge."""
        room = self.sheet.width - 2 * _MARGIN
        inside = min(max(share, self.left), self.right)
        return _MARGIN + (inside - self.left) / (self.right - self.left) * room

    def at(self, value: float) -> float:
        """Where a value in the part's unit lies; an open end lies at the edge of the rule."""
        if abs(value) == inf:
            worse = (value > 0) == (self.facts.limit > self.facts.new)
            return self.x(self.right if worse else self.left)
        return self.x(self.facts.share(value))

    def _step(self) -> float:
        """Distance of two figures: as fine as their widths allow."""
        span = abs(self.facts.limit - self.facts.new)
        length = self.x(1.0) - self.x(0.0)
        for most in (10, 8, 6, 5, 4, 3, 2):
            step = easy_step(span, most)
            widest = max(
                width_of(figure(v, step), self.size * _SMALL) for v in (self.facts.new, self.facts.limit)
            )
            if length * step / span >= widest + 0.8 * self.size:
                return step
        return easy_step(span, 1)

    def draw(self, lines: list[str]) -> float:
        """Draw everything from top to bottom and return the height."""
        top = self._mark_names(0.0)
        bracket_at = top + 0.3 * self.size
        steel_at = bracket_at + 1.1 * self.size
        steel_high = 2.7 * self.size
        self._steel(steel_at, steel_high)
        self._bracket(bracket_at, steel_at)
        belief_at = steel_at + steel_high + 0.25 * self.size
        y = self._wedge(belief_at)
        self._belief(belief_at)
        return self._words(y, lines)

    def _mark_names(self, y: float) -> float:
        """Names of the engraved marks in rows that touch nobody, nearest row lowest."""
        facts, size = self.facts, self.size
        marks = [
            (facts.new, worded("new {new:.4g}", new=facts.new)),
            (facts.limit, worded("limit {limit:.4g} {unit}", limit=facts.limit, unit=facts.unit)),
        ]
        if 0.0 < facts.share(facts.warn) < 1.0:
            marks.insert(1, (facts.warn, worded("warning {warn:.4g}", warn=facts.warn)))
        if facts.danger is not None:
            marks.append((facts.danger, worded("unsafe {danger:.4g}", danger=facts.danger)))
        anchors = [self.at(value) for value, _ in marks]
        widths = [width_of(words, size) for _, words in marks]
        placed = side_by_side(anchors, widths, _MARGIN, self.sheet.width - _MARGIN, 0.6 * size)
        rows = max(row for _, row in placed) + 1
        for (_, words), (start, row) in zip(marks, placed, strict=True):
            self.sheet.words("word", start, y + (rows - row) * 1.35 * size - 0.3 * size, words)
        return y + rows * 1.35 * size

    def _steel(self, y: float, high: float) -> None:
        """The body, its graduation and its engraved marks; the ink ends at the limit."""
        sheet, facts, size = self.sheet, self.facts, self.size
        start, end, limit = self.x(self.left), self.x(self.right), self.at(facts.limit)
        sheet.box("steel", start, y, end - start, high, 3)
        sheet.hatched(limit, y, end - limit, high)
        low, most = min(facts.new, facts.limit), max(facts.new, facts.limit)
        for value in graduations(low, most, self._fine_step()):
            sheet.line("minor", self.at(value), y, self.at(value), y + 0.55 * size)
        taken = _MARGIN
        for value in sorted(graduations(low, most, self.step), key=self.at):
            words = figure(value, self.step)
            wide = width_of(words, size * _SMALL)
            sheet.line("tick", self.at(value), y, self.at(value), y + 1.0 * size)
            begin = min(max(self.at(value) - wide / 2, _MARGIN + 1), limit - wide - 3)
            # The last figure stands aside for the limit's own mark; where that crowds it, the name above says it.
            if begin >= taken:
                sheet.words("figure", begin, y + 2.2 * size, words, size * _SMALL)
                taken = begin + wide + 0.35 * size
        if 0.0 < facts.share(facts.warn) < 1.0:
            # As long as the graduation, so that it never crosses a figure.
            sheet.line("warn", self.at(facts.warn), y, self.at(facts.warn), y + 1.15 * size)
            self._notch(self.at(facts.warn), y)
        sheet.line("limit", limit, y, limit, y + high)
        self._notch(limit, y)
        if facts.danger is not None and facts.share(facts.danger) < self.right:
            sheet.line("limit", self.at(facts.danger), y, self.at(facts.danger), y + high)
            self._notch(self.at(facts.danger), y)
        sheet.box("edge", start, y, end - start, high, 3)

    def _fine_step(self) -> float:
        """Small graduations: fifths or halves of the figures' step, where they stay apart."""
        apart = self.at(self.facts.new + self.step) - self.at(self.facts.new)
        pieces = next((n for n in (10, 5, 2) if abs(apart) / n >= 0.33 * self.size), 1)
        return self.step / pieces

    def _notch(self, x: float, y: float) -> None:
        half = 0.32 * self.size
        self.sheet.shape(
            "notch", [(x - half, y - 0.55 * self.size), (x + half, y - 0.55 * self.size), (x, y)]
        )

    def _bracket(self, y: float, steel_at: float) -> None:
        """What the instrument showed: a bracket as wide as its doubt; an open end has no leg and an arrow instead."""
        facts, size = self.facts, self.size
        if facts.shown is None or facts.sure is None:
            return
        ends = [
            (self.at(v), abs(v) == inf)
            for v in (min(facts.shown[0], facts.sure[0]), max(facts.shown[1], facts.sure[1]))
        ]
        (x1, open1), (x2, open2) = sorted(ends)
        least = 0.25 * size
        if x2 - x1 < least:
            x1, x2 = (x1 + x2 - least) / 2, (x1 + x2 + least) / 2
        bar, foot = y + 0.25 * size, steel_at - 1
        points = [(x1, bar), (x2, bar)]
        points = points if open1 else [(x1, foot), *points]
        points = points if open2 else [*points, (x2, foot)]
        self.sheet.path("read", points)
        for x, is_open, way in ((x1, open1, 1), (x2, open2, -1)):
            if is_open:
                tip = 0.45 * size
                self.sheet.path(
                    "read", [(x + way * tip, bar - tip / 1.6), (x, bar), (x + way * tip, bar + tip / 1.6)]
                )
        if facts.shown[0] == facts.shown[1]:
            self.sheet.line("read", self.at(facts.shown[0]), bar, self.at(facts.shown[0]), foot)

    def _belief(self, y: float) -> None:
        """8 cases in 10 as a thin bar, half of them as a thick one, the most likely value as a diamond."""
        sheet, facts, size = self.sheet, self.facts, self.size
        middle = y + 0.65 * size
        for ink, ends, half in (("wide", facts.wide, 0.16), ("half", facts.half, 0.34)):
            x1, x2 = sorted((self.at(ends.low), self.at(ends.high)))
            sheet.box(ink, x1, middle - half * size, x2 - x1, 2 * half * size)
        if facts.share(facts.wide.middle) > self.right:
            self._beyond(middle)
        else:
            self._diamond(self.at(facts.wide.middle), middle, 0.6 * size)

    def _beyond(self, y: float) -> None:
        """So far past the limit that it leaves the rule: an arrow at its end instead of a place on it."""
        tip, size = self.x(self.right), self.size
        self.sheet.shape(
            "now", [(tip - 0.9 * size, y - 0.6 * size), (tip, y), (tip - 0.9 * size, y + 0.6 * size)]
        )

    def _diamond(self, x: float, y: float, half: float) -> None:
        wide = 0.7 * half
        x = min(max(x, wide), self.sheet.width - wide)
        self.sheet.shape("now", [(x - wide, y), (x, y - half), (x + wide, y), (x, y + half)])

    def _wedge(self, y: float) -> float:
        """The forecast from now to the limit, fading as it widens, with use along it; returns where it ends."""
        facts, size = self.facts, self.size
        start, end, middle = self.at(facts.wide.middle), self.at(facts.limit), y + 0.65 * size
        if facts.is_past or not 0 < facts.to_limit.middle < inf or end - start < size:
            return y + 1.4 * size
        for n in range(_SLICES):
            near, far = n / _SLICES, (n + 1) / _SLICES
            a, b = start + (end - start) * near, start + (end - start) * far
            ha, hb = 0.62 * size * near, 0.62 * size * far
            self.sheet.shape(
                "wedge",
                [(a, middle - ha), (b, middle - hb), (b, middle + hb), (a, middle + ha)],
                0.55 - 0.45 * n / (_SLICES - 1),
            )
        return self._use_figures(start, end, y + 1.3 * size)

    def _use_figures(self, start: float, end: float, y: float) -> float:
        """Use from now along the wedge: figures as close as they stay apart, the last with its unit."""
        left, size = self.facts.to_limit.middle, self.size * _SMALL
        widest = width_of(f"+{amount(left)} {self.facts.use}", size)
        most = int((end - start) / (1.25 * widest))
        # Under a tenth of a kilometre, hour or day there is nothing to graduate.
        if most < 1 or left < 0.1:
            return y + 0.1 * self.size
        step = easy_step(left, most)
        marks = [value for value in graduations(0, left, step) if value > 0]
        for n, value in enumerate(marks):
            x = start + (end - start) * value / left
            words = f"+{amount(value)}" + (f" {self.facts.use}" if n == len(marks) - 1 else "")
            wide = width_of(words, size)
            self.sheet.line("minor", x, y - 0.15 * self.size, x, y + 0.3 * self.size)
            self.sheet.words(
                "figure",
                min(max(x - wide / 2, _MARGIN), self.sheet.width - _MARGIN - wide),
                y + 1.2 * self.size,
                words,
                size,
            )
        return y + 1.5 * self.size

    def _words(self, y: float, lines: list[str]) -> float:
        """The same in words, each line led by its own sign: bracket, diamond, wedge."""
        size, indent = self.size, 1.7 * self.size
        y += 0.45 * size
        for text in lines:
            sign = {"read": self._sign_read, "now": self._sign_now}.get(text.split()[0], self._sign_ahead)
            sign(y + 0.8 * size)
            for line in wrapped(text, size, self.sheet.width - indent - _MARGIN):
                self.sheet.words("word", indent, y + 1.1 * size, line)
                y += 1.4 * size
        return y + 0.3 * size

    def _sign_read(self, y: float) -> None:
        a, b, high = _MARGIN, _MARGIN + 0.9 * self.size, 0.3 * self.size
        self.sheet.path("read", [(a, y + high), (a, y - high), (b, y - high), (b, y + high)])

    def _sign_now(self, y: float) -> None:
        self._diamond(_MARGIN + 0.45 * self.size, y, 0.45 * self.size)

    def _sign_ahead(self, y: float) -> None:
        a, b, high = _MARGIN, _MARGIN + 0.95 * self.size, 0.38 * self.size
        self.sheet.shape("wedge", [(a, y), (b, y - high), (b, y + high)], 0.5)
