"""The usual side-view shapes of bikes, and the points that follow from them. A kind of bike names its shape.

Lengths in mm, angles in degrees, y downwards from the ground, x forwards from the rear axle; the bike faces right, so that
the drive side is seen. Usual builds, common practice, no source: a picture to find parts on, never a measurement.
"""

from dataclasses import dataclass, replace
from math import cos, radians, sin, sqrt
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Shape:
    """What a bike of a kind usually measures.

    `chainstay` and `drop` place the bottom bracket, which is ahead of the front wheel on a recumbent. `second`: how far the
    front rider of a tandem sits ahead. `rake` is counted from the steering column, which on a bike with a box in front is
    linked to its wheel, or wheels (`front_wheels`), by a rod.
    """

    wheel_front: float
    wheel_rear: float
    tyre: float
    chainstay: float
    drop: float
    seat_angle: float
    head_angle: float
    stack: float
    reach: float
    head_tube: float
    rake: float
    seat_tube: float
    saddle: float
    bar: Literal["drop", "flat", "swept", "high"]
    travel: float = 0.0
    step_through: bool = False
    teeth: float = 96.0
    layout: Literal["upright", "tandem", "recumbent", "box in front"] = "upright"
    long_tail: bool = False
    second: float = 0.0
    front_wheels: int = 1


_ROAD = Shape(338, 338, 28, 412, 70, 73.5, 73, 560, 388, 150, 45, 520, 735, "drop")
SHAPES: dict[str, Shape] = {
    "road": _ROAD,
    "gravel": replace(_ROAD, wheel_front=352, wheel_rear=352, tyre=42, chainstay=430, head_angle=71, stack=590, saddle=720),
    "track": replace(_ROAD, wheel_front=335, wheel_rear=335, tyre=25, chainstay=390, drop=55, head_angle=74.5, stack=545, reach=395),
    "mtb": Shape(372, 372, 60, 435, 60, 75, 66, 625, 450, 110, 44, 430, 690, "flat", travel=130, teeth=78),
    "city": Shape(350, 350, 42, 450, 65, 70, 69, 620, 385, 190, 60, 480, 700, "swept", step_through=True, teeth=78),
    "ebike": Shape(350, 350, 50, 470, 60, 71, 68, 630, 400, 180, 55, 480, 700, "swept", step_through=True, teeth=78),
    "cargo": Shape(265, 265, 60, 640, 0, 70, 69, 660, 420, 190, 45, 470, 690, "swept", step_through=True, teeth=78, long_tail=True),
    "kids": Shape(300, 300, 47, 385, 35, 72, 70, 470, 330, 100, 40, 330, 520, "flat", teeth=78),
    "tandem": replace(_ROAD, tyre=32, chainstay=440, layout="tandem", second=690),
    "recumbent": Shape(250, 340, 35, 1430, -345, -7, 70, -25, -490, 100, 40, 860, 900, "high", layout="recumbent"),
    "trike": Shape(
        250, 300, 55, 440, 0, 70, 72, 640, 380, 200, 260, 460, 680, "swept", teeth=78, layout="box in front", front_wheels=2
    ),
}  # fmt: skip
FULLY_SPRUNG = replace(SHAPES["mtb"], chainstay=450)
"""A bike with a shock behind has no frame to step through."""
BOX_IN_FRONT = replace(SHAPES["trike"], rake=730, front_wheels=1)
"""Two wheels, with a box between the bar and the front one."""


@dataclass(frozen=True, slots=True)
class FramePoints:
    """Where things are, from the shape; `captain` is the bottom bracket of the front rider, on most bikes the only one."""

    rear: Point
    front: Point
    bottom_bracket: Point
    head_top: Point
    head_low: Point
    crown: Point
    seat_top: Point
    saddle: Point
    clamp: Point
    captain: Point


def along(start: Point, angle: float, length: float) -> Point:
    """Return the point *length* away from *start*, *angle* counted from forwards, down being positive."""
    return start[0] + length * cos(radians(angle)), start[1] + length * sin(radians(angle))


def between(start: Point, end: Point, share: float) -> Point:
    """Return the point a *share* of the way."""
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def points_of(shape: Shape) -> FramePoints:
    """Return where the parts of a bike of this shape are.

    The front axle lies on its wheel's radius above the ground, ahead of the steering axis by the rake; the wheelbase follows.
    """
    rear = (0.0, -shape.wheel_rear)
    crank = (sqrt(shape.chainstay**2 - shape.drop**2), rear[1] + shape.drop)
    captain = (crank[0] + shape.second, crank[1])
    head_top = (captain[0] + shape.reach, captain[1] - shape.stack)
    head_low = along(head_top, shape.head_angle, shape.head_tube)
    steering = radians(shape.head_angle)
    legs = (-shape.wheel_front + shape.rake * cos(steering) - head_low[1]) / sin(steering)
    foot = along(head_low, shape.head_angle, legs)
    front = (foot[0] + shape.rake * sin(steering), foot[1] - shape.rake * cos(steering))
    back = 180 + shape.seat_angle
    return FramePoints(
        rear=rear,
        front=front,
        bottom_bracket=crank,
        head_top=head_top,
        head_low=head_low,
        crown=along(head_low, shape.head_angle, 35),
        seat_top=along(crank, back, shape.seat_tube),
        saddle=along(crank, back, shape.saddle),
        clamp=_clamp(head_top, shape),
        captain=captain,
    )


def _clamp(head_top: Point, shape: Shape) -> Point:
    """The bar clamp: some spacers up the steerer, then the stem's length forwards; over a recumbent's knees at arm's length."""
    if shape.bar == "high":
        return head_top[0] - 170, head_top[1] - 330
    top = along(head_top, 180 + shape.head_angle, 45)
    return top[0] + (55 if shape.bar != "drop" else 95), top[1] - 12
