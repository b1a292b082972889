"""One part's use over time: kilometres rising along its fittings, its readings on the same line; and a bike's weeks as bars."""

from calendar import month_name
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pinchbolt.drawing.graduation import amount, easy_step, figure, graduations
from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.ahead import day_words
from pinchbolt.values.wording import worded

_MARGIN = 4.0
_SMALL = 0.86
_HIGH = 11.0  # times the size of the words


@dataclass(frozen=True, slots=True)
class UsedBy:
    """How far a part had gone by a day, and its standard deviation. [km]"""

    day: date
    km: float
    km_sd: float


@dataclass(frozen=True, slots=True)
class FittedTo:
    """Where a part was, from a day to a day (none = still there)."""

    words: str
    start: date
    end: date | None


@dataclass(frozen=True, slots=True)
class ReadOn:
    """A reading: its day, how far the part had gone by then, and what was shown."""

    day: date
    km: float
    words: str


def use_line(
    points: Sequence[UsedBy],
    fitted: Sequence[FittedTo],
    read: Sequence[ReadOn],
    *,
    title: str,
    width: float = 640.0,
    size: float = 14.0,
    paper: bool = False,
) -> str:
    """Return the use of one part as SVG: days from left to right, kilometres from the foot, fittings named below.

    The line is what is known, the band round it one standard deviation; a diamond on it is a reading. Each fitting is a bar
    at the foot with the bike or trainer named where there is room; between two bars the part was on the wall.

    Args:
        points: Kilometres by day, in order. [km]
        fitted: Where the part was, in order. [-]
        read: Readings of the part. [-]
        title: What a screen reader says first: part and place. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its words. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: There is no point to draw.

    Valid for: Widths from 20 times the size of the words.
    """
    if not points:
        raise InputRefused(
            worded("{title}: there is no use to draw. Give its kilometres by day.", title=title)
        )
    line = _Line(Drawing(width, size, paper=paper), points)
    line.draw(fitted, read)
    return line.sheet.finished(line.height, title, _told(points, fitted, read))


class _Line:
    """One use line on its sheet."""

    def __init__(self, sheet: Drawing, points: Sequence[UsedBy]) -> None:
        self.sheet, self.points = sheet, points
        self.first, self.last = points[0].day, points[-1].day
        self.days = max((self.last - self.first).days, 1)
        self.most = max(1.0, *(one.km + one.km_sd for one in points))
        self.step = easy_step(self.most, 4)
        self.labels = [(km, figure(km, self.step)) for km in graduations(0.0, self.most, self.step) if km > 0]
        room = max((width_of(words, sheet.size * _SMALL) for _, words in self.labels), default=0.0)
        self.left = _MARGIN + room + 6
        self.head, self.foot = 1.6 * sheet.size, _HIGH * sheet.size
        self.height = self.foot + 3.4 * sheet.size

    def x(self, day: date) -> float:
        """Where a day lies; beyond the edges counts as at the edge."""
        share = min(max((day - self.first).days / self.days, 0.0), 1.0)
        return self.left + share * (self.sheet.width - self.left - _MARGIN)

    def y(self, km: float) -> float:
        """Where a distance lies."""
        return self.foot - min(max(km / self.most, 0.0), 1.0) * (self.foot - self.head)

    def draw(self, fitted: Sequence[FittedTo], read: Sequence[ReadOn]) -> None:
        """Graduations, the band, the line, the readings, the fittings, the days."""
        sheet, small = self.sheet, self.sheet.size * _SMALL
        for km, words in self.labels:
            sheet.line("minor", self.left, self.y(km), sheet.width - _MARGIN, self.y(km))
            sheet.words(
                "word", self.left - 6 - width_of(words, small), self.y(km) + 0.35 * small, words, small
            )
        sheet.words("word", _MARGIN, 0.95 * sheet.size, "km", small)
        sheet.line("edge", self.left, self.foot, sheet.width - _MARGIN, self.foot)
        above = [(self.x(one.day), self.y(one.km + one.km_sd)) for one in self.points]
        below = [(self.x(one.day), self.y(one.km - one.km_sd)) for one in reversed(self.points)]
        sheet.shape("wedge", [*above, *below], 0.16)
        sheet.path("read", [(self.x(one.day), self.y(one.km)) for one in self.points])
        for one in read:
            x, y = self.x(one.day), self.y(one.km)
            sheet.line("minor", x, y, x, self.foot)
            sheet.shape("now", [(x, y - 6), (x + 6, y), (x, y + 6), (x - 6, y)])
        self._fittings(fitted)
        self._days()

    def _fittings(self, fitted: Sequence[FittedTo]) -> None:
        sheet, small = self.sheet, self.sheet.size * _SMALL
        top, high = self.foot + 0.3 * sheet.size, 1.3 * sheet.size
        for one in fitted:
            start, end = self.x(one.start), self.x(one.end or self.last)
            sheet.box("steel", start, top, end - start, high)
            sheet.line("tick", start, top - 0.3 * sheet.size, start, top + high)
            if width_of(one.words, small) + 8 <= end - start:
                sheet.words("word", start + 4, top + 0.95 * sheet.size, one.words, small)

    def _days(self) -> None:
        sheet, small = self.sheet, self.sheet.size * _SMALL
        base = self.foot + 2.9 * sheet.size
        first, last = day_words(self.first), day_words(self.last)
        sheet.words("word", self.left, base, first, small)
        right = sheet.width - _MARGIN - width_of(last, small)
        if right > self.left + width_of(first, small) + 0.6 * small:
            sheet.words("word", right, base, last, small)


def _told(points: Sequence[UsedBy], fitted: Sequence[FittedTo], read: Sequence[ReadOn]) -> str:
    last = points[-1]
    spread = worded(" give or take {amount}", amount=amount(last.km_sd)) if last.km_sd else ""
    told = [
        worded("{amount} km{spread} by {day}", amount=amount(last.km), spread=spread, day=day_words(last.day))
    ]
    for one in fitted:
        until = worded("to {end}", end=day_words(one.end)) if one.end else worded("until now")
        told.append(
            worded(
                "on {words} from {start} {until}", words=one.words, start=day_words(one.start), until=until
            )
        )
    told += [
        worded(
            "{day} at {amount} km: {words}", day=day_words(one.day), amount=amount(one.km), words=one.words
        )
        for one in read
    ]
    return "; ".join(told) + "."


def season_words(usual: Sequence[float]) -> str:
    """Return the least and the greatest usual week of a year by its months, January first. [km]"""
    low, high = min(usual), max(usual)
    least, most = (month_name[usual.index(km) + 1] for km in (low, high))
    return worded(
        " By its seasons a usual week is {low_km} km in {least} and {high_km} km in {most}.",
        low_km=amount(low),
        least=least,
        high_km=amount(high),
        most=most,
    )


def week_bars(
    weeks: Sequence[tuple[date, float, float]],
    *,
    title: str,
    usual: Sequence[float] = (),
    width: float = 640.0,
    size: float = 14.0,
) -> str:
    """Return a bike's weeks as bars: road in full ink, indoors hatched on top; an empty week leaves its gap; over them its seasons.

    Args:
        weeks: Monday, kilometres on the road, kilometres indoors; every week once, in order. [km]
        usual: What a usual week of each month is, January first; none where the seasons are not known. [km]
        title: What a screen reader says first. [-]
        width: Width of the drawing. [px]
        size: Size of its words. [px]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: There is no week to draw.
    """
    if not weeks:
        raise InputRefused(worded("{title}: there is no week to draw. Give at least one.", title=title))
    sheet, small = Drawing(width, size, paper=False), size * _SMALL
    most = max(1.0, *(road + indoors for _, road, indoors in weeks), *usual)
    step = easy_step(most, 3)
    labels = [(km, figure(km, step)) for km in graduations(0.0, most, step) if km > 0]
    left = _MARGIN + max((width_of(words, small) for _, words in labels), default=0.0) + 6
    head, foot = 1.6 * size, 8 * size
    sheet.words("word", _MARGIN, 0.95 * size, worded("km a week"), small)
    for km, words in labels:
        y = foot - km / most * (foot - head)
        sheet.line("minor", left, y, width - _MARGIN, y)
        sheet.words("word", left - 6 - width_of(words, small), y + 0.35 * small, words, small)
    each = (width - left - _MARGIN) / len(weeks)
    for number, (_, road, indoors) in enumerate(weeks):
        x, high, on_top = left + number * each, road / most * (foot - head), indoors / most * (foot - head)
        sheet.box("half", x, foot - high, max(each - 1, 1.0), high)
        if on_top > 0:
            sheet.box("steel", x, foot - high - on_top, max(each - 1, 1.0), on_top)
            sheet.hatched(x, foot - high - on_top, max(each - 1, 1.0), on_top, 5.0)
    for number, (monday, _, _) in enumerate(weeks if usual else ()):
        y = foot - usual[monday.month - 1] / most * (foot - head)
        sheet.line("warn", left + number * each, y, left + (number + 1) * each, y)
    sheet.line("edge", left, foot, width - _MARGIN, foot)
    first, last = day_words(weeks[0][0]), day_words(weeks[-1][0])
    sheet.words("word", left, foot + 1.3 * size, first, small)
    right = width - _MARGIN - width_of(last, small)
    if right > left + width_of(first, small) + 0.6 * small:
        sheet.words("word", right, foot + 1.3 * size, last, small)
    whole = sum(road + indoors for _, road, indoors in weeks)
    ridden = sum(road + indoors > 0 for _, road, indoors in weeks)
    told = worded(
        "{km} km in {weeks} weeks from {first}, {ridden} of them with a ride; at most {most_km} km.",
        km=amount(whole),
        weeks=len(weeks),
        first=first,
        ridden=ridden,
        most_km=amount(most),
    )
    if usual:
        told += season_words(usual)
    return sheet.finished(foot + 1.8 * size, title, told)
