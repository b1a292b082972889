"""Places of the side view: where on the bike each is, its mark, and its label with the line that leads to it."""

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

from pinchbolt.drawing.bike_ink import line, path
from pinchbolt.drawing.bike_shape import FramePoints, Point, Shape, between
from pinchbolt.drawing.lettering import width_of
from pinchbolt.drawing.verdict_mark import verdict_mark

PLACES = (
    "bar", "headset", "front-wheel", "front-brake",
    "frame", "saddle", "rear-wheel", "rear-brake", "gears", "chain", "cranks", "power",
)  # fmt: skip
"""Places of the drawing, clockwise from the bar: labelled right, above, left and below. They are the corners of a bike."""

EDGE = 620.0
"""Room beside the bike for a column of labels."""
ROWS = (150.0, 240.0)
"""Room for the row of labels above the bike and for the one below."""

_RIGHT, _LEFT, _BELOW = PLACES[:4], PLACES[5:9], PLACES[9:]
_WIDTH, _WIDE, _HEIGHT = 590.0, 900.0, 168.0
_AT = {name: n for side in (_RIGHT, _LEFT, _BELOW) for n, name in enumerate(side)}


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to tap: one of `PLACES`, its words, a second line, where it leads, and the worst verdict there."""

    place: str
    words: str
    note: str = ""
    href: str = ""
    verdict: str = ""
    current: bool = False


def anchors(at: FramePoints, shape: Shape, scale: float = 1.0) -> Mapping[str, Point]:
    """Where on the bike each place is."""
    wheel = shape.wheel_front / 2, shape.wheel_rear / 2
    found = {
        "bar": (at.clamp[0] + 20, at.clamp[1]),
        "headset": at.head_low,
        "frame": _on_frame(at, shape),
        "front-brake": (at.front[0] - 60, at.front[1] - 50),
        "front-wheel": (at.front[0] + wheel[0], at.front[1] - wheel[0]),
        "saddle": at.saddle,
        "rear-brake": (at.rear[0] + 62, at.rear[1] - 60),
        "rear-wheel": (at.rear[0] - wheel[1], at.rear[1] - wheel[1]),
        "gears": (at.rear[0] + 20, at.rear[1] + 120),
        "chain": between(at.rear, at.bottom_bracket, 0.5),
        "cranks": (at.bottom_bracket[0] + 60, at.bottom_bracket[1] + 30),
        "power": between(at.head_low, at.bottom_bracket, 0.75),
    }
    if shape.layout == "box in front":
        x, y = between(at.bottom_bracket, at.seat_top, 0.45)
        found["power"] = (x - 70, y)
    return {place: (x * scale, y * scale) for place, (x, y) in found.items()}


def _on_frame(at: FramePoints, shape: Shape) -> Point:
    """The middle of the top tube, or of the seat tube where one steps through."""
    if shape.layout == "recumbent":
        return between(at.saddle, at.head_low, 0.6)
    if shape.step_through or shape.layout == "box in front":
        return between(at.bottom_bracket, at.seat_top, 0.7)
    seat = (at.seat_top[0] + shape.second, at.seat_top[1])
    return between(between(at.head_top, at.head_low, 0.2), between(at.captain, seat, 0.92), 0.5)


def mark(spot: Spot, anchor: Point) -> str:
    """A ring round the place that is open, or the mark of its verdict, on the bike itself."""
    x, y = anchor
    if spot.current:
        return f'<circle class="bike-here" fill="none" stroke="currentColor" stroke-width="22" cx="{x:.0f}" cy="{y:.0f}" r="120"/>'
    if not spot.verdict:
        return ""
    ground = '<circle class="bike-inside-mark" fill="#ffffff" stroke="currentColor" stroke-width="1.5" cx="12" cy="12" r="17"/>'
    moved = f"translate({x - 60:.0f} {y - 60:.0f}) scale(5)"
    return f'<g class="bike-mark" transform="{moved}">{ground}{_mark_shape(spot.verdict)}</g>'


def _mark_shape(verdict: str) -> str:
    """The mark of a verdict without its own frame, so that it can be moved and scaled."""
    whole = verdict_mark(verdict, ink="currentColor")
    return whole[whole.index(">") + 1 : whole.rindex("</svg>")]


def label(spot: Spot, anchor: Point, sides: tuple[float, float], heights: tuple[float, float]) -> str:
    """A label, its leader line and its mark, all one place to tap."""
    width = _WIDE if spot.place == "frame" else _WIDTH
    x, y = _label_place(spot.place, width, sides, heights)
    leader = _leader(anchor, (x, y), width, spot.place)
    drawn = ""
    if spot.verdict:
        shape = _mark_shape(spot.verdict)
        drawn = f'<g class="bike-mark" transform="translate({x + 14:.0f} {y - 36:.0f}) scale(3)">{shape}</g>'
    inset = 104 if spot.verdict else 20
    words = _line("bike-words", spot.words, (x + inset, y - 8), 44, width - inset - 12)
    note = _line("bike-note", spot.note, (x + inset, y + 42), 36, width - inset - 12)
    box = (
        f'<rect class="bike-label" x="{x:.0f}" y="{y - _HEIGHT / 2:.0f}" width="{width:.0f}" height="{_HEIGHT:.0f}" '
        'fill="none" stroke="currentColor" stroke-width="3"/>'
    )
    name = "bike-spot is-current" if spot.current else "bike-spot"
    return f'<a class="{name}" href="{escape(spot.href, quote=True)}">{leader}{box}{drawn}{words}{note}</a>'


def _line(name: str, words: str, at: Point, size: float, room: float) -> str:
    """One line of a label, smaller where its words are long."""
    used = min(size, size * room / max(1.0, width_of(words, size)))
    return (
        f'<text class="{name}" x="{at[0]:.0f}" y="{at[1]:.0f}" font-size="{used:.3g}">{escape(words)}</text>'
    )


def _label_place(place: str, width: float, sides: tuple[float, float], heights: tuple[float, float]) -> Point:
    """Left edge and middle height of a label."""
    if place == "frame":
        return (sides[0] + sides[1] - width) / 2, heights[0] + 90
    if place in _BELOW:
        room = sides[1] - sides[0] + 2 * EDGE - width
        return sides[0] - EDGE + room * (0.22 + 0.28 * _AT[place]), heights[1] - 90
    y = heights[0] + 90 + (heights[1] - heights[0] - 450) / 3 * _AT[place]
    return (sides[1] + 26 if place in _RIGHT else sides[0] - EDGE + 4), y


def _leader(anchor: Point, label_at: Point, width: float, place: str) -> str:
    """A thin line from the bike to the label, with a dot on the part."""
    x, y = label_at
    if place == "frame" or place in _BELOW:
        away = 1 if place == "frame" else -1
        end = (x + width / 2, y + _HEIGHT / 2 * away)
        knee = (end[0], end[1] + 50 * away)
    else:
        away = 1 if place in _RIGHT else -1
        end = (x, y) if away > 0 else (x + width, y)
        knee = (end[0] - 60 * away, y)
    dot = f'<circle class="bike-dot" fill="currentColor" cx="{anchor[0]:.0f}" cy="{anchor[1]:.0f}" r="13"/>'
    return path(line(anchor, knee, end), 3) + dot
