"""The side view of a bike: its shape, what its parts bring, and places to tap with their labels."""

from collections.abc import Collection, Sequence
from functools import lru_cache

from pinchbolt.drawing import bike_drive, bike_load, bike_parts
from pinchbolt.drawing.bike_ink import line, path, tube
from pinchbolt.drawing.bike_labels import EDGE, ROWS, Spot, anchors, label, mark
from pinchbolt.drawing.bike_shape import (
    BOX_IN_FRONT,
    FULLY_SPRUNG,
    SHAPES,
    FramePoints,
    Shape,
    between,
    points_of,
)

PIECES = frozenset({
    "rear-shock", "steering-rod", "box", "belt", "sprockets", "hub-gear", "derailleur", "chain-case", "rim-brake", "disc",
    "mudguards", "carrier", "child-seat", "kickstand", "stabilisers", "lamp", "motor", "hub-motor", "battery",
})  # fmt: skip
"""What can be drawn besides the bare bike. A piece of one end is named with it: "disc front"."""

# As much of a bike fits beside its labels; a longer one is drawn smaller.
_LONGEST = 2080.0


def bike_drawing(
    shape: str, pieces: Collection[str] = (), spots: Sequence[Spot] = (), *, labelled: bool = False
) -> str:
    """Return the side view of a bike as one `<svg>`, drive side, facing right.

    Args:
        shape: One of `SHAPES`; another one is drawn as a road bike. [-]
        pieces: What its parts bring, of `PIECES`, with the end where there may be two; others are not drawn. [-]
        spots: Places to mark; with *labelled* each has its label beside the bike and is a place to tap. [-]
        labelled: Whether labels are drawn; without, the drawing is the bare bike with the verdicts' marks. [-]

    Returns:
        SVG text in the page's own ink. [-]

    Valid for: A picture to find parts on. Shapes are usual ones, never measurements of this bike.

    Source: common practice, no source.
    """
    has = frozenset(pieces)
    if not (spots or labelled):
        return _bare(shape, has)
    form = _form(shape, has)
    at = points_of(form)
    ink = _bike(at, form, has)
    left, right, top = _bounds(at, form, has)
    if not labelled:
        where = anchors(at, form)
        marks = "".join(mark(spot, where[spot.place]) for spot in spots)
        return _beside_nothing(left, right, top, ink + marks)
    scale = min(1.0, _LONGEST / (right - left + 40))
    left, right, top = left * scale, right * scale, top * scale
    middle = (left + right) / 2
    # One frame for all shapes, so that a child's bike is drawn small and labels never jump.
    half = max(870.0, (right - left) / 2 + 20)
    # One row of labels below the ground line, one above the frame.
    bottom = 24.0 + ROWS[1]
    top = min(top - ROWS[0], bottom - 1400)
    where = anchors(at, form, scale)
    sides, heights = (middle - half, middle + half), (top, bottom)
    labels = "".join(label(spot, where[spot.place], sides, heights) for spot in spots)
    ground = path(f"M{left:.0f} 0H{right:.0f}", 3, ' stroke-opacity="0.5"')
    drawn = ink if scale == 1 else f'<g transform="scale({scale:.4f})">{ink}</g>'
    width = 2 * (half + EDGE)
    return _svg(
        middle - half - EDGE, top, width, bottom - top, ground + drawn + labels, "bike-drawing is-labelled"
    )


# A shop has some dozens of bikes that look different; a drawing hangs on nothing but what is asked here.
_KEPT = 256


@lru_cache(_KEPT)
def _bare(shape: str, has: frozenset[str]) -> str:
    """The bike alone."""
    form = _form(shape, has)
    at = points_of(form)
    return _beside_nothing(*_bounds(at, form, has), _bike(at, form, has))


def _beside_nothing(left: float, right: float, top: float, ink: str) -> str:
    return _svg(left - 45, top, right - left + 90, 24 - top, ink, "bike-drawing")


def stand_drawing(shape: str = "", pieces: Collection[str] = ()) -> str:
    """Return a repair stand as one `<svg>`, holding a bike by its seat post, or empty.

    Args:
        shape: Shape of the bike on it; empty for a free stand. [-]
        pieces: What its parts bring. [-]

    Returns:
        SVG text in the page's own ink; all stands have one floor, and one scale unless a bike is longer than most. [-]

    Source: common practice, no source.
    """
    return _on_stand(shape, frozenset(pieces))


@lru_cache(_KEPT)
def _on_stand(shape: str, has: frozenset[str]) -> str:
    floor, post = 330.0, -430.0
    form = _form(shape, has)
    at = points_of(form)
    grip = between(at.seat_top, at.saddle, 0.55) if shape else (-150.0, -820.0)
    stand = [
        tube(line((post, floor - 14), (post, grip[1] - 20)), 44),
        tube(line((post, grip[1]), (grip[0] - 30, grip[1])), 34),
        path(line((grip[0] - 34, grip[1] - 44), (grip[0] + 24, grip[1] - 30)), 20),
        path(line((grip[0] - 34, grip[1] + 44), (grip[0] + 24, grip[1] + 30)), 20),
        path(line((post - 150, floor - 8), (post + 520, floor - 8)), 24),
    ]
    bike = _bike(at, form, has) if shape else ""
    right = max(1640.0, _bounds(at, form, has)[1] + 45 if shape else 0.0)
    return _svg(-620, -1220, right + 620, 1220 + floor, "".join(stand) + bike, "stand-drawing")


def _svg(x: float, y: float, width: float, height: float, inside: str, name: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="{x:.0f} {y:.0f} {width:.0f} {height:.0f}">{inside}</svg>'


def _form(shape: str, has: frozenset[str]) -> Shape:
    """The shape, put right where the build sheet says more."""
    form = SHAPES.get(shape, SHAPES["road"])
    if has & {"box", "steering-rod"} and form.layout == "upright":
        return BOX_IN_FRONT
    if "rear-shock" in has and form.step_through and not form.long_tail:
        return FULLY_SPRUNG
    return form


def _bounds(at: FramePoints, shape: Shape, has: frozenset[str]) -> tuple[float, float, float]:
    """Left, right and upper edge of what is drawn."""
    left, right = at.rear[0] - shape.wheel_rear, at.front[0] + shape.wheel_front
    high = min(at.saddle[1], at.clamp[1] - 125)
    seats = _ends("child-seat", has, "rear")
    if "rear" in seats or (shape.long_tail and "rear" in _ends("carrier", has, "rear")):
        left = min(left, at.rear[0] - 360)
    if "rear" in seats:
        high = min(high, at.rear[1] - shape.wheel_rear - 500)
    if "front" in seats:
        high = min(high, at.head_top[1] - 220)
    if "front" in _ends("carrier", has, "rear"):
        right = max(right, at.front[0] + 220)
    if shape.front_wheels > 1:
        right += 44
    if shape.layout == "recumbent":
        # Its pedals and its head rest stand out.
        right, high = max(right, at.bottom_bracket[0] + 230), min(high, at.saddle[1] - 440)
    return left, right, high - 60


def _ends(piece: str, has: frozenset[str], usual: str) -> tuple[str, ...]:
    """The ends at which a piece is: those that are named with it, else its usual one."""
    named = tuple(end for end in ("front", "rear") if f"{piece} {end}" in has)
    return named or ((usual,) if piece in has else ())


def _bike(at: FramePoints, shape: Shape, has: frozenset[str]) -> str:
    discs, rims = _ends("disc", has, "front"), _ends("rim-brake", has, "front")
    hubs = {"front": at.front, "rear": at.rear}
    behind = [bike_parts.wheel(at.rear, shape.wheel_rear, shape.tyre, "rear" in discs)]
    front = bike_parts.wheel(at.front, shape.wheel_front, shape.tyre, "front" in discs)
    if shape.front_wheels > 1:
        behind.append(
            bike_parts.far_wheel((at.front[0] + 44, at.front[1] - 12), shape.wheel_front, shape.tyre)
        )
    else:
        behind.append(front)
    behind += _load_behind(at, shape, has)
    if "battery" in has:
        behind.append(bike_drive.battery(at, shape))
    behind += [bike_drive.hub_motor(hubs[end]) for end in _ends("hub-motor", has, "rear")]
    if shape.layout != "box in front":
        behind.append(bike_parts.fork(at, shape))
    behind.append(bike_parts.frame(at, shape, "rear-shock" in has))
    ahead = [*_in_front(at, shape, has, front), *_brakes(at, shape, discs, rims)]
    return "".join([*behind, *ahead, bike_parts.bar(at, shape)])


def _load_behind(at: FramePoints, shape: Shape, has: frozenset[str]) -> list[str]:
    """What is drawn before the frame: guards, carriers, stand."""
    pieces = []
    if "mudguards" in has:
        pieces.append(bike_load.guard(at.rear, shape.wheel_rear, 170, 300, 200))
        pieces.append(bike_load.guard(at.front, shape.wheel_front, 215, 320, 220))
    carriers = _ends("carrier", has, "rear")
    if "rear" in carriers:
        pieces.append(bike_load.carrier_behind(at, shape))
    if "front" in carriers:
        pieces.append(bike_load.carrier_in_front(at, shape))
    if "kickstand" in has:
        pieces.append(bike_load.kickstand(at))
    return pieces


def _brakes(at: FramePoints, shape: Shape, discs: Collection[str], rims: Collection[str]) -> list[str]:
    """A caliper on each rotor, blocks at each rim that has them."""
    pieces = []
    for end, hub, radius, on_disc, on_rim in (
        ("front", at.front, shape.wheel_front, 215, 242),
        ("rear", at.rear, shape.wheel_rear, 325, 304),
    ):
        if end in discs:
            pieces.append(bike_parts.caliper(hub, on_disc, 84))
        if end in rims:
            pieces.append(bike_parts.caliper(hub, on_rim, radius - shape.tyre - 14))
    return pieces


def _in_front(at: FramePoints, shape: Shape, has: frozenset[str], front_wheel: str) -> list[str]:
    """What is drawn over the frame: drive, seats, lamp, the box and the near wheel beside it."""
    pieces = [bike_drive.drive(at, shape, has), bike_parts.seat(at, shape)]
    if shape.layout == "tandem":
        ahead = bike_parts.captain_of(at)
        pieces += [bike_parts.seat(ahead, shape), bike_parts.second_bar(ahead)]
    seats = _ends("child-seat", has, "rear")
    if "rear" in seats:
        pieces.append(bike_load.child_seat_behind(at, shape))
    if "front" in seats:
        pieces.append(bike_load.child_seat_in_front(at))
    if "box" in has:
        pieces.append(bike_load.box(at, shape))
    if "steering-rod" in has:
        pieces.append(bike_load.steering_rod(at, shape))
    if shape.front_wheels > 1:
        pieces.append(front_wheel)
    if "stabilisers" in has:
        pieces.append(bike_load.stabilisers(at))
    if "lamp" in has:
        pieces.append(bike_load.lamp(at))
    return pieces
