"""The side view of a bike: this kind, with what is on its build sheet, and places to tap with their labels."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape

from pinchbolt.drawing import bike_parts as draw
from pinchbolt.drawing.bike_shape import SHAPES, Point, Points, Shape, between, points_of
from pinchbolt.drawing.verdict_mark import verdict_mark

PLACES = (
    "bar", "headset", "front-wheel", "front-brake",
    "frame", "saddle", "rear-wheel", "rear-brake", "gears", "chain", "cranks", "power",
)  # fmt: skip
"""Places of the drawing, clockwise from the bar: labelled right, above, left and below."""

_RIGHT, _LEFT, _BELOW = PLACES[:4], PLACES[5:9], PLACES[9:]
_EDGE = 620.0
_LABEL_WIDTH = 590.0
_LABEL_HEIGHT = 168.0
_LABEL_AT = {name: n for side in (_RIGHT, _LEFT, _BELOW) for n, name in enumerate(side)}

_GEARED = frozenset({"rotor", "rear derailleur"})
USUAL_PARTS: Mapping[str, frozenset[str]] = {
    "city": frozenset({"mudguards", "carrier", "lights"}),
    "ebike": frozenset({"battery", "motor", "rotor", "mudguards", "carrier", "lights"}),
    "cargo": _GEARED | {"battery", "motor", "carrier", "lights", "mudguards"},
    "kids": frozenset({"rim pads", "rear derailleur"}),
    "track": frozenset(),
}
"""What is drawn of a bike whose build sheet is not at hand; other kinds have discs and a derailleur."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to tap: one of `PLACES`, its words, a second line, where it leads, and the worst verdict there."""

    place: str
    words: str
    note: str = ""
    href: str = ""
    verdict: str = ""
    current: bool = False


def bike_drawing(
    kind: str, parts: Collection[str] | None = None, spots: Sequence[Spot] = (), *, labelled: bool = False
) -> str:
    """Return the side view of a bike as one `<svg>`, drive side, facing right.

    Args:
        kind: Kind of bike: road, gravel, mtb, city, ebike, cargo, kids or track; another one is drawn as a road bike. [-]
        parts: Kinds of the parts on the build sheet, such as "rotor" or "rear shock"; they decide what is drawn.
            None: what such a bike usually has. [-]
        spots: Places to mark; with *labelled* each has its label beside the bike and is a place to tap. [-]
        labelled: Whether labels are drawn; without, the drawing is the bare bike with the verdicts' marks. [-]

    Returns:
        SVG text in the page's own ink. [-]

    Valid for: A picture to find parts on. Shapes are usual ones, never measurements of this bike.

    Source: common practice, no source.
    """
    has = USUAL_PARTS.get(kind, _GEARED) if parts is None else frozenset(parts)
    shape = _shape(kind, has)
    at = points_of(shape)
    ink = _bike(at, shape, has, kind)
    left, right = at.rear[0] - shape.wheel_rear, at.front[0] + shape.wheel_front
    if "carrier" in has and kind == "cargo":
        left = min(left, at.rear[0] - 360)
    top, bottom = min(at.saddle[1], at.clamp[1] - 125) - 60, 24.0
    if not labelled:
        marks = "".join(_mark(spot, at, shape) for spot in spots)
        return _svg(left - 45, top, right - left + 90, bottom - top, ink + marks, "bike-drawing")
    middle = (left + right) / 2
    # One frame for all kinds, so that a child's bike is drawn small and labels never jump.
    half = max(870.0, (right - left) / 2 + 20)
    # One row of labels below the ground line, one above the frame.
    bottom += 240
    top = min(top - 150, bottom - 1400)
    labels = "".join(
        _labelled(spot, at, shape, (middle - half, middle + half), (top, bottom)) for spot in spots
    )
    ground = draw.path(f"M{left:.0f} 0H{right:.0f}", 3, ' stroke-opacity="0.5"')
    return _svg(
        middle - half - _EDGE,
        top,
        2 * (half + _EDGE),
        bottom - top,
        ground + ink + labels,
        "bike-drawing is-labelled",
    )


def stand_drawing(kind: str = "", parts: Collection[str] | None = None) -> str:
    """Return a repair stand as one `<svg>`, holding a bike of a *kind* by its seat post, or empty.

    Args:
        kind: Kind of bike on it; empty for a free stand. [-]
        parts: Kinds of the parts on its build sheet; None: what such a bike usually has. [-]

    Returns:
        SVG text in the page's own ink; all stands have one scale and one floor. [-]

    Source: common practice, no source.
    """
    floor, post = 330.0, -430.0
    has = USUAL_PARTS.get(kind, _GEARED) if parts is None else frozenset(parts)
    shape = _shape(kind, has)
    at = points_of(shape)
    grip = between(at.seat_top, at.saddle, 0.55) if kind else (-150.0, -820.0)
    stand = [
        draw.tube(draw.line((post, floor - 14), (post, grip[1] - 20)), 44),
        draw.tube(draw.line((post, grip[1]), (grip[0] - 30, grip[1])), 34),
        draw.path(draw.line((grip[0] - 34, grip[1] - 44), (grip[0] + 24, grip[1] - 30)), 20),
        draw.path(draw.line((grip[0] - 34, grip[1] + 44), (grip[0] + 24, grip[1] + 30)), 20),
        draw.path(draw.line((post - 150, floor - 8), (post + 520, floor - 8)), 24),
    ]
    bike = _bike(at, shape, has, kind) if kind else ""
    return _svg(-620, -1220, 2260, 1220 + floor, "".join(stand) + bike, "stand-drawing")


def _svg(x: float, y: float, width: float, height: float, inside: str, name: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="{x:.0f} {y:.0f} {width:.0f} {height:.0f}">{inside}</svg>'


def _shape(kind: str, has: frozenset[str]) -> Shape:
    """The shape of the kind, put right where the build sheet says more."""
    shape = SHAPES.get(kind, SHAPES["road"])
    if kind == "ebike" and "rear shock" in has:
        return replace(SHAPES["mtb"], chainstay=450)
    return shape


def _bike(at: Points, shape: Shape, has: frozenset[str], kind: str) -> str:
    discs = "rotor" in has
    gears = "rear derailleur" in has
    pieces = [
        draw.wheel(at.rear, shape.wheel_rear, shape.tyre, discs),
        draw.wheel(at.front, shape.wheel_front, shape.tyre, discs),
    ]
    if "mudguards" in has:
        pieces.append(draw.guard(at.rear, shape.wheel_rear, 170, 300, 200))
        pieces.append(draw.guard(at.front, shape.wheel_front, 215, 320, 220))
    if "carrier" in has:
        pieces.append(draw.carrier(at, shape, kind == "cargo"))
    if "battery" in has:
        pieces.append(draw.drive_unit(at, shape, "motor" not in has and kind != "ebike"))
    if "kickstand" in has:
        pieces.append(draw.kickstand(at))
    pieces += [draw.fork(at, shape), draw.frame(at, shape, "rear shock" in has)]
    pieces += _brakes(at, shape, has)
    if "lights" in has:
        pieces.append(draw.lamp(at))
    teeth = 78.0 if kind in ("kids", "mtb", "cargo", "ebike", "city") else 96.0
    pieces.append(draw.crank(at, shape, teeth, 62.0 if gears else 38.0, gears))
    pieces += [draw.seat(at, shape), draw.bar(at, shape)]
    return "".join(pieces)


def _brakes(at: Points, shape: Shape, has: frozenset[str]) -> list[str]:
    if "rotor" in has:
        return [draw.caliper(at.front, 215, 84), draw.caliper(at.rear, 325, 84)]
    if "rim pads" in has:
        rim_front, rim_rear = shape.wheel_front - shape.tyre - 14, shape.wheel_rear - shape.tyre - 14
        return [draw.caliper(at.front, 242, rim_front), draw.caliper(at.rear, 304, rim_rear)]
    return []


def _on_frame(at: Points, shape: Shape) -> Point:
    """The middle of the top tube, or of the seat tube where one steps through."""
    if shape.step_through:
        return between(at.bottom_bracket, at.seat_top, 0.7)
    return between(between(at.head_top, at.head_low, 0.2), between(at.bottom_bracket, at.seat_top, 0.92), 0.5)


def _anchor(place: str, at: Points, shape: Shape) -> Point:
    """Where on the bike a place is."""
    return {
        "bar": (at.clamp[0] + 20, at.clamp[1]),
        "headset": at.head_low,
        "frame": _on_frame(at, shape),
        "front-brake": (at.front[0] - 60, at.front[1] - 50),
        "front-wheel": (at.front[0] + shape.wheel_front / 2, at.front[1] - shape.wheel_front / 2),
        "saddle": at.saddle,
        "rear-brake": (at.rear[0] + 62, at.rear[1] - 60),
        "rear-wheel": (at.rear[0] - shape.wheel_rear / 2, at.rear[1] - shape.wheel_rear / 2),
        "gears": (at.rear[0] + 20, at.rear[1] + 120),
        "chain": between(at.rear, at.bottom_bracket, 0.5),
        "cranks": (at.bottom_bracket[0] + 60, at.bottom_bracket[1] + 30),
        "power": between(at.head_low, at.bottom_bracket, 0.75),
    }[place]


def _mark(spot: Spot, at: Points, shape: Shape) -> str:
    x, y = _anchor(spot.place, at, shape)
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


def _labelled(
    spot: Spot, at: Points, shape: Shape, sides: tuple[float, float], heights: tuple[float, float]
) -> str:
    """A label, its leader line and its mark, all one place to tap."""
    x, y = _label_place(spot.place, sides, heights)
    leader = _leader(_anchor(spot.place, at, shape), (x, y), spot.place)
    mark = ""
    if spot.verdict:
        drawn = _mark_shape(spot.verdict)
        mark = f'<g class="bike-mark" transform="translate({x + 14:.0f} {y - 36:.0f}) scale(3)">{drawn}</g>'
    inset = 104 if spot.verdict else 20
    words = f'<text class="bike-words" x="{x + inset:.0f}" y="{y - 8:.0f}" font-size="44">{escape(spot.words)}</text>'
    note = f'<text class="bike-note" x="{x + inset:.0f}" y="{y + 42:.0f}" font-size="36">{escape(spot.note)}</text>'
    box = (
        f'<rect class="bike-label" x="{x:.0f}" y="{y - _LABEL_HEIGHT / 2:.0f}" width="{_LABEL_WIDTH:.0f}" '
        f'height="{_LABEL_HEIGHT:.0f}" '
        'fill="none" stroke="currentColor" stroke-width="3"/>'
    )
    name = "bike-spot is-current" if spot.current else "bike-spot"
    return f'<a class="{name}" href="{escape(spot.href, quote=True)}">{leader}{box}{mark}{words}{note}</a>'


def _label_place(place: str, sides: tuple[float, float], heights: tuple[float, float]) -> Point:
    """Left edge and middle height of a label."""
    if place == "frame":
        return (sides[0] + sides[1] - _LABEL_WIDTH) / 2, heights[0] + 90
    if place in _BELOW:
        room = sides[1] - sides[0] + 2 * _EDGE - _LABEL_WIDTH
        return sides[0] - _EDGE + room * (0.22 + 0.28 * _LABEL_AT[place]), heights[1] - 90
    y = heights[0] + 90 + (heights[1] - heights[0] - 450) / 3 * _LABEL_AT[place]
    return (sides[1] + 26 if place in _RIGHT else sides[0] - _EDGE + 4), y


def _leader(anchor: Point, label: Point, place: str) -> str:
    """A thin line from the bike to the label, with a dot on the part."""
    x, y = label
    if place == "frame" or place in _BELOW:
        away = 1 if place == "frame" else -1
        end = (x + _LABEL_WIDTH / 2, y + _LABEL_HEIGHT / 2 * away)
        knee = (end[0], end[1] + 50 * away)
    else:
        away = 1 if place in _RIGHT else -1
        end = (x, y) if away > 0 else (x + _LABEL_WIDTH, y)
        knee = (end[0] - 60 * away, y)
    dot = f'<circle class="bike-dot" fill="currentColor" cx="{anchor[0]:.0f}" cy="{anchor[1]:.0f}" r="13"/>'
    return draw.path(draw.line(anchor, knee, end), 3) + dot
