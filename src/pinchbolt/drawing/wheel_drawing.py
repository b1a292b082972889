"""A wheel seen from the right, spoke by spoke: how tight each is against its side's mean, and which nipples are turned next."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.values.wording import worded

# Of the wheel's radius: hub, where a spoke of its side's mean ends, and the rim. Nothing past half as tight again is drawn longer.
_HUB, _MEAN, _RIM, _MOST = 0.14, 0.7, 1.0, 1.5
_NARROW, _WIDE = 0.010, 0.022


@dataclass(frozen=True, slots=True)
class SpokeMark:
    """A spoke as it is drawn: whether it goes to the right, its tension as a share of its side's mean (None: not known), quarters.

    `to_turn` is still to be turned (above 0 tightens), `turned` was.
    """

    right: bool
    share: float | None
    to_turn: int = 0
    turned: int = 0


def wheel_drawing(
    spokes: Sequence[SpokeMark],
    *,
    title: str,
    spread: float = 0.2,
    width: float = 480.0,
    size: float = 14.0,
    paper: bool = False,
) -> str:
    """Return a wheel as SVG: spoke 1 at the top, the others clockwise; right spokes broad, left ones narrow.

    A spoke's length is its tension: one that ends on the ring is as tight as the mean of its side, the band about the ring is
    what the limit lets it depart. Outside of the rim stands what is to be turned: +2 tightens by two quarters.

    Args:
        spokes: From spoke 1 on. [-]
        title: What a screen reader says first. [-]
        spread: Departure from the mean that the limit allows, as a share. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its figures. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]
    """
    sheet = Drawing(width, size, paper=paper)
    wheel = _Wheel(sheet, width / 2, width / 2 - 3.8 * size)
    wheel.ring("edge", _at(1 - spread))
    wheel.ring("edge", _at(1 + spread))
    wheel.ring("read", _MEAN)
    wheel.ring("read", _RIM)
    for at, one in enumerate(spokes):
        angle = 2 * pi * at / len(spokes) - pi / 2
        wheel.spoke(angle, one)
        wheel.label(angle, at + 1, one)
    return sheet.finished(width, title, _told(spokes, spread))


def _at(share: float) -> float:
    """Where a spoke of this share ends."""
    return _HUB + (_MEAN - _HUB) * min(max(share, 0.0), _MOST)


class _Wheel:
    """A wheel round a middle."""

    def __init__(self, sheet: Drawing, middle: float, radius: float) -> None:
        self.sheet, self.middle, self.radius = sheet, middle, radius

    def point(self, angle: float, share: float) -> tuple[float, float]:
        far = share * self.radius
        return self.middle + far * cos(angle), self.middle + far * sin(angle)

    def ring(self, ink: str, share: float) -> None:
        far = share * self.radius
        self.sheet.box(ink, self.middle - far, self.middle - far, 2 * far, 2 * far, round_by=far)

    def spoke(self, angle: float, one: SpokeMark) -> None:
        """A bar as long as it is tight; one whose tension nobody knows is a thin line to the rim."""
        if one.share is None:
            self.sheet.line("minor", *self.point(angle, _HUB), *self.point(angle, _RIM))
            return
        half = (_WIDE if one.right else _NARROW) / 2
        end = _at(one.share)
        self.sheet.shape(
            "now",
            [
                self.point(angle - half / _HUB, _HUB),
                self.point(angle + half / _HUB, _HUB),
                self.point(angle + half / end, end),
                self.point(angle - half / end, end),
            ],
        )

    def label(self, angle: float, number: int, one: SpokeMark) -> None:
        """The spoke's number outside of the rim, underlined where it was turned; beyond it in a box what is to be turned."""
        small = 0.8 * self.sheet.size
        x, y, wide = self._words(angle, 0.7, str(number), small)
        if one.turned:
            self.sheet.line("warn", x - wide / 2, y + 0.6 * small, x + wide / 2, y + 0.6 * small)
        if one.to_turn:
            x, y, wide = self._words(angle, 2.4, f"{one.to_turn:+d}", self.sheet.size)
            size = self.sheet.size
            self.sheet.box("edge", x - wide / 2 - 2, y - 0.62 * size, wide + 4, 1.24 * size, 2)

    def _words(self, angle: float, out: float, words: str, size: float) -> tuple[float, float, float]:
        """Words so many sizes outside of the rim; returns their middle and how wide they are."""
        x, y = self.point(angle, _RIM)
        x, y = x + (out + 0.3) * self.sheet.size * cos(angle), y + (out + 0.3) * self.sheet.size * sin(angle)
        wide = width_of(words, size)
        self.sheet.words("figure", x - wide / 2, y + 0.36 * size, words, size)
        return x, y, wide


def _told(spokes: Sequence[SpokeMark], spread: float) -> str:
    """The drawing in words: what is out, and what is turned."""
    out = [
        worded("spoke {at} {share:.0f} %", at=at, share=one.share * 100)
        for at, one in enumerate(spokes, 1)
        if one.share is not None and abs(one.share - 1) > spread
    ]
    turns = [
        worded("spoke {at} {to_turn:+d}", at=at, to_turn=one.to_turn)
        for at, one in enumerate(spokes, 1)
        if one.to_turn
    ]
    known = sum(one.share is not None for one in spokes)
    return worded(
        "{spokes} spokes, the tension of {known} is known. Outside {spread:.0f} % of the "
        "side's mean: {out}. To turn, in quarters: {turns}.",
        spokes=len(spokes),
        known=known,
        spread=spread * 100,
        out=", ".join(out) or worded("none"),
        turns=", ".join(turns) or worded("none"),
    )


def lacing_drawing(
    spokes: int,
    crossings: int,
    *,
    title: str,
    stage: int = 4,
    width: float = 420.0,
    size: float = 14.0,
    paper: bool = False,
) -> str:
    """Return how a wheel is laced as SVG, seen from the right: four sets of spokes, those of *stage* broad, those before thin.

    Set 1 goes into every second hole of the left flange, set 2 of the right one; set 3 crosses set 1 on the left, set 4 crosses
    set 2 on the right. Spoke 1 is the first of set 1, beside the valve, as the wheel sheet counts.

    Args:
        spokes: Of the whole wheel. [-]
        crossings: Of each side. [-]
        title: What a screen reader says first. [-]
        stage: The set that is laced now, 1 to 4. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its figures. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Source: Usual lacing, trade practice; no source.
    """
    sheet = Drawing(width, size, paper=paper)
    wheel = _Wheel(sheet, width / 2, width / 2 - 2.4 * size)
    wheel.ring("read", _RIM)
    wheel.ring("edge", 0.2)
    step, quarter = 2 * pi / spokes, spokes // 4
    for own in range(1, stage + 1):
        first = {1: 0, 2: 1, 3: 2, 4: 3}[own]
        way = 1 if own in (1, 2) else -1
        for at in range(quarter):
            hole = (first + 4 * at) * step - pi / 2
            # A spoke reaches its rim hole from a flange hole that stands back by its crossings.
            flange = hole - way * crossings * 2 * step
            ink = "limit" if own == stage else "minor"
            sheet.line(ink, *wheel.point(flange, 0.2), *wheel.point(hole, _RIM))
            if own == stage:
                words = str(first + 4 * at + 1)
                x, y = wheel.point(hole, _RIM + 0.1)
                sheet.words("word", x - width_of(words, 0.8 * size) / 2, y + 0.3 * size, words, 0.8 * size)
    x, y = wheel.point(-pi / 2 - step / 2, _RIM + 0.1)
    sheet.words("word", x - width_of("v", size) / 2, y + 0.3 * size, "v", size)
    told = worded(
        "{spokes} spokes, crossed {crossings} times: set {stage} of 4 is laced, v is the valve.",
        spokes=spokes,
        crossings=crossings,
        stage=stage,
    )
    return sheet.finished(width, title, told)
