"""The life line: one part's wear over time, from its fitting over its readings to the day that it reaches its limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

from pinchbolt.drawing.drawn_forecast import DrawnForecast
from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.drawing.wear_facts import WearFacts, wear_facts
from pinchbolt.values.about import shown_words
from pinchbolt.values.ahead import about_day, day_words, days_between
from pinchbolt.values.wording import worded

_MARGIN, _LEAST, _MOST = (
    4.0,
    -0.06,
    1.25,
)  # shares of the way from new to limit at the drawing's foot and head
_LONGEST = 3.0  # times the life so far that is drawn ahead at most
_SMALL, _HIGH = 0.86, 9.0


@dataclass(frozen=True, slots=True)
class ReadAt:
    """One reading on the line: its day and the two ends of what was shown, None where one is open."""

    day: date
    low: float | None
    high: float | None


def life_line(
    forecast: DrawnForecast,
    read: Sequence[ReadAt],
    *,
    fitted: date,
    fitted_known: bool,
    title: str,
    width: float = 640.0,
    size: float = 14.0,
    paper: bool = False,
) -> str:
    """Return the life of one part as SVG: days from left to right, wear from new (foot) to the limit (line at the head).

    Each reading is a bracket between the ends of what was shown; from the last day judged a fan opens to the days
    between which the limit is reached in 8 cases of 10, its middle drawn through. A part that was on the bike before
    the records began starts at a dashed foot.

    Args:
        forecast: As kept with the newest finding. [-]
        read: Readings of the part, any order. [part's own unit]
        fitted: Day of the fitting, or the first day known. [-]
        fitted_known: False where it was there before the records began. [-]
        title: What a screen reader says first: part and place. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its words. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: New and limit are the same.

    Valid for: Widths from 20 times the size of the words.
    """
    facts = wear_facts(forecast)
    line = _Line(Drawing(width, size, paper=paper), facts, fitted, forecast.day, read)
    line.draw(read, fitted_known)
    return line.sheet.finished(line.height, title, _told(facts, read, fitted, fitted_known))


class _Line:
    """One life on its sheet."""

    def __init__(
        self, sheet: Drawing, facts: WearFacts, fitted: date, today: date, read: Sequence[ReadAt]
    ) -> None:
        self.sheet, self.facts, self.today = sheet, facts, today
        self.first = min([fitted, *(one.day for one in read)])
        self.foot = _HIGH * sheet.size
        self.height = self.foot + 1.6 * sheet.size
        so_far = max((today - self.first).days, 30)
        ahead = [(d - today).days for d in facts.days if d]
        reach = max(ahead, default=0) if len(ahead) == len(facts.days) else inf
        self.days = so_far + min(max(reach, 0.15 * so_far), _LONGEST * so_far)

    def x(self, day: date) -> float:
        """Where a day lies; beyond the edges counts as at the edge."""
        share = min(max((day - self.first).days / self.days, 0.0), 1.0)
        return _MARGIN + share * (self.sheet.width - 2 * _MARGIN)

    def y(self, share: float) -> float:
        """Where a share of the way from new to limit lies; beyond the edges counts as at the edge."""
        inside = min(max(share, _LEAST), _MOST)
        top = 1.3 * self.sheet.size
        return top + (_MOST - inside) / (_MOST - _LEAST) * (self.foot - top)

    def draw(self, read: Sequence[ReadAt], fitted_known: bool) -> None:
        """Limit and warning, the fan, the readings, then the days below."""
        sheet, right = self.sheet, self.sheet.width - _MARGIN
        sheet.hatched(_MARGIN, self.y(_MOST), right - _MARGIN, self.y(1.0) - self.y(_MOST))
        sheet.line(
            "minor",
            _MARGIN,
            self.y(self.facts.share(self.facts.warn)),
            right,
            self.y(self.facts.share(self.facts.warn)),
        )
        sheet.line("edge", _MARGIN, self.y(0.0), right, self.y(0.0))
        sheet.line("limit", _MARGIN, self.y(1.0), right, self.y(1.0))
        self._fan()
        for one in read:
            self._bracket(one)
        if fitted_known:
            sheet.line("tick", self.x(self.first), self.y(_LEAST), self.x(self.first), self.y(0.25))
        self._words(fitted_known)

    def _fan(self) -> None:
        """From what is believed now to the days at which the limit is reached."""
        facts, now = self.facts, self.x(self.today)
        low, middle, high = sorted(
            self.y(facts.share(v)) for v in (facts.wide.low, facts.wide.middle, facts.wide.high)
        )
        self.sheet.line("tick", now, self.y(_MOST), now, self.y(_LEAST))
        if not facts.is_past:
            early, likely, late = (self._at_limit(day) for day in facts.days)
            # Sooner goes with more wear now (higher on the sheet), later with less.
            self.sheet.shape("wedge", [(now, low), early, late, (now, high)], 0.16)
            self.sheet.path("read", [(now, middle), likely])
        self.sheet.box("half", now - 2.5, low, 5.0, high - low)

    def _at_limit(self, day: date | None) -> tuple[float, float]:
        """Where the limit is reached; a day beyond the drawing is met at its edge, on the straight way there."""
        start = self.y(self.facts.share(self.facts.wide.middle))
        if day is None:
            return self.sheet.width - _MARGIN, start
        drawn, whole = self.days - (self.today - self.first).days, (day - self.today).days
        if whole <= drawn or whole <= 0:
            return max(self.x(day), self.x(self.today)), self.y(1.0)
        return self.sheet.width - _MARGIN, start + (self.y(1.0) - start) * drawn / whole

    def _bracket(self, one: ReadAt) -> None:
        ends = [
            open_ if value is None else self.facts.share(value)
            for value, open_ in ((one.low, self._open_end(False)), (one.high, self._open_end(True)))
        ]
        top, foot, x = self.y(max(ends)), self.y(min(ends)), self.x(one.day)
        if foot - top < 1.0:
            self.sheet.shape("now", [(x, top - 5), (x + 5, top), (x, top + 5), (x - 5, top)])
            return
        self.sheet.path("read", [(x + 5, top), (x, top), (x, foot), (x + 5, foot)])

    def _open_end(self, is_high: bool) -> float:
        worse = is_high == (self.facts.limit > self.facts.new)
        return _MOST if worse else _LEAST

    def _words(self, fitted_known: bool) -> None:
        """Limit at the head; the first day and today, and the likeliest day at the limit, where there is room."""
        sheet, small = self.sheet, self.sheet.size * _SMALL
        sheet.words(
            "word",
            _MARGIN,
            0.95 * sheet.size,
            worded("limit {limit:.3g} {unit}", limit=self.facts.limit, unit=self.facts.unit),
            small,
        )
        base, taken = self.foot + 1.2 * sheet.size, -inf
        first = day_words(self.first)
        spots = [
            (self.x(self.first), first if fitted_known else worded("before {first}", first=first)),
            (self.x(self.today), day_words(self.today)),
        ]
        if self.facts.days[1] and not self.facts.is_past:
            spots.append((self._at_limit(self.facts.days[1])[0], day_words(self.facts.days[1])))
        for x, text in spots:
            room = width_of(text, small)
            left = min(max(x - room / 2, _MARGIN), sheet.width - _MARGIN - room)
            if left > taken + 0.6 * small:
                sheet.words("word", left, base, text, small)
                taken = left + room


def _told(facts: WearFacts, read: Sequence[ReadAt], fitted: date, fitted_known: bool) -> str:
    began = (
        worded("fitted {fitted}", fitted=day_words(fitted))
        if fitted_known
        else worded("there since before {fitted}", fitted=day_words(fitted))
    )
    shown = [
        f"{day_words(one.day)} {shown_words(one.low, one.high, facts.unit)}"
        for one in sorted(read, key=lambda r: r.day)
    ]
    early, likely, late = facts.days
    between = days_between(early, late)
    days = worded(" (likely {between})", between=between) if between else ""
    ahead = (
        worded("past its limit already")
        if facts.is_past
        else worded("at its limit {about_day}{days}", about_day=about_day(likely), days=days)
    )
    return "; ".join([began, *shown, ahead]) + "."
