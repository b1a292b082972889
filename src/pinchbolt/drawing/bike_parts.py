"""Wheels, brakes, frame, fork, bar and seat of the side view, each a string of SVG in the page's own ink."""

from dataclasses import replace
from math import cos, hypot, pi, radians, sin

from pinchbolt.drawing.bike_ink import FAINT, disc, line, path, ring, tube
from pinchbolt.drawing.bike_shape import FramePoints, Point, Shape, along, between


def wheel(centre: Point, radius: float, tyre: float, rotor: bool) -> str:
    """Tyre, rim, spokes crossing at the hub, hub, and a rotor where there is one."""
    rim = radius - tyre - 6
    spokes = []
    for n in range(28):
        turn = 2 * pi * n / 28
        # Spokes leave the hub sideways, one after the other to either side, as laced wheels do.
        lean = 1.25 if n % 2 else -1.25
        hub = (centre[0] + 26 * cos(turn + lean), centre[1] + 26 * sin(turn + lean))
        end = (centre[0] + (rim - 12) * cos(turn), centre[1] + (rim - 12) * sin(turn))
        spokes.append(line(hub, end))
    pieces = [
        path("".join(spokes), 2.2, ' stroke-opacity="0.55"'),
        ring(centre, radius - tyre / 2, tyre, ' stroke-opacity="0.16"'),
        ring(centre, radius - 3, 7),
        ring(centre, rim, 5),
        ring(centre, rim - 14, 3),
        ring(centre, 27, 6),
    ]
    if rotor:
        pieces += [
            ring(centre, 84, 4),
            ring(centre, 68, 9, ' stroke-dasharray="5 11" stroke-opacity="0.7"'),
            ring(centre, 58, 4),
        ]
    return "".join([*pieces, disc(centre, 9)])


def far_wheel(centre: Point, radius: float, tyre: float) -> str:
    """The wheel on the other side of a trike: its tyre and rim, behind everything."""
    return ring(centre, radius - 3, 7, FAINT) + ring(centre, radius - tyre - 6, 5, FAINT)


def caliper(centre: Point, angle: float, radius: float) -> str:
    """A brake caliper on its rotor, or the blocks of a rim brake on its rim."""
    place = along(centre, angle, radius)
    turn = radians(angle)
    across = (sin(turn) * 30, -cos(turn) * 30)
    return path(
        line((place[0] - across[0], place[1] - across[1]), (place[0] + across[0], place[1] + across[1])), 34
    )


def fork(at: FramePoints, shape: Shape) -> str:
    """Blades with their rake, or stanchions and lowers."""
    if shape.travel:
        low = between(at.crown, at.front, 0.42)
        return "".join(
            [
                tube(line(at.crown, low), 34),
                tube(line(low, at.front), 46),
                path(line((low[0] - 24, low[1]), (low[0] + 24, low[1])), 9),
                tube(line((at.crown[0] - 18, at.crown[1] - 4), (at.crown[0] + 18, at.crown[1] + 4)), 40),
            ]
        )
    reach = hypot(at.front[0] - at.crown[0], at.front[1] - at.crown[1])
    knee = between(at.crown, along(at.crown, shape.head_angle, reach), 0.7)
    d = f"M{at.crown[0]:.0f} {at.crown[1]:.0f}Q{knee[0]:.0f} {knee[1]:.0f} {at.front[0]:.0f} {at.front[1]:.0f}"
    return tube(d, 32)


def frame(at: FramePoints, shape: Shape, swing: bool) -> str:
    """The frame with its stem: by layout, with a swinging rear end where there is a shock."""
    if shape.layout == "recumbent":
        low = (at.saddle[0] - 20, at.saddle[1] + 70)
        return _recumbent(at, low) + (
            _shock(between(at.rear, low, 0.5), (low[0] - 90, low[1] - 130)) if swing else ""
        )
    stem = path(line(at.head_top, along(at.head_top, 180 + shape.head_angle, 45), at.clamp), 20)
    head = tube(line(at.head_top, at.head_low), 48)
    if shape.layout == "box in front":
        post = between(at.bottom_bracket, at.seat_top, 0.2)
        shock = _shock(between(at.rear, at.seat_top, 0.45), post) if swing else ""
        return _low_loader(at, shape) + shock + head + stem
    front = _front_of_tandem(at) if shape.layout == "tandem" else _front(at, shape)
    rear = _swing(at) if swing else _stays(at)
    return rear + tube(line(at.bottom_bracket, at.seat_top), 36) + front + head + stem


def _stays(at: FramePoints) -> str:
    joint = between(at.bottom_bracket, at.seat_top, 0.9)
    return tube(line(at.rear, at.bottom_bracket), 26) + tube(line(at.rear, joint), 22)


def _swing(at: FramePoints) -> str:
    """A rear end that swings, with its yoke and shock."""
    crank, seat = at.bottom_bracket, at.seat_top
    yoke = between(crank, seat, 0.62)
    end = (yoke[0] + 60, yoke[1] - 10)
    shock = between(between(at.head_top, at.head_low, 0.78), crank, 0.42)
    return "".join(
        [
            tube(line(at.rear, (crank[0] + 8, crank[1] - 60)), 30),
            tube(line(at.rear, yoke, end), 26),
            _shock(end, shock),
            disc(between(crank, seat, 0.42), 10),
        ]
    )


def _shock(start: Point, end: Point) -> str:
    """A shock with its coil."""
    return tube(line(start, end), 40) + path(
        line(between(start, end, 0.45), end), 30, ' stroke-dasharray="4 9"'
    )


def _front(at: FramePoints, shape: Shape) -> str:
    """Down tube and top tube, or the bow of a frame to step through."""
    crank, seat = at.bottom_bracket, at.seat_top
    top, low = between(at.head_top, at.head_low, 0.2), between(at.head_top, at.head_low, 0.78)
    if not shape.step_through:
        return tube(line(low, crank), 44) + tube(line(top, between(crank, seat, 0.92)), 34)
    meet = between(crank, seat, 0.36)
    bow = (low[0] - (low[0] - meet[0]) * 0.55, meet[1] - 20)
    return tube(
        f"M{low[0]:.0f} {low[1]:.0f}Q{bow[0]:.0f} {bow[1]:.0f} {crank[0]:.0f} {crank[1]:.0f}", 46
    ) + tube(
        f"M{top[0]:.0f} {top[1] + 30:.0f}Q{bow[0] + 10:.0f} {bow[1] - 40:.0f} {meet[0]:.0f} {meet[1]:.0f}", 28
    )


def captain_of(at: FramePoints) -> FramePoints:
    """The points of the front rider of a tandem: as far ahead as the two bottom brackets are apart."""
    ahead = at.captain[0] - at.bottom_bracket[0]

    def moved(point: Point) -> Point:
        return point[0] + ahead, point[1]

    return replace(at, bottom_bracket=at.captain, seat_top=moved(at.seat_top), saddle=moved(at.saddle))


def _front_of_tandem(at: FramePoints) -> str:
    """Both riders' tubes: the keel between the cranks, one top tube, down tube and the tube across."""
    ahead = captain_of(at)
    top, low = between(at.head_top, at.head_low, 0.2), between(at.head_top, at.head_low, 0.78)
    over = (between(one.bottom_bracket, one.seat_top, 0.92) for one in (ahead, at))
    return "".join(
        [
            tube(line(low, at.bottom_bracket), 30),
            tube(line(at.bottom_bracket, at.captain), 44),
            tube(line(at.captain, ahead.seat_top), 36),
            tube(line(top, *over), 34),
            tube(line(low, at.captain), 44),
        ]
    )


def _low_loader(at: FramePoints, shape: Shape) -> str:
    """A frame with its load ahead of the bar: a beam below it, to the axle of two wheels or to a head of its own."""
    crank = at.bottom_bracket
    foot = (at.head_low[0] + 6, crank[1] + 60)
    pieces = [_stays(at), tube(line(crank, at.seat_top), 36)]
    if shape.front_wheels > 1:
        pieces.append(tube(line(crank, foot, (at.front[0] - 60, foot[1]), at.front), 44))
    else:
        knee, head = _second_head(at, shape)
        pieces += [
            tube(line(head, at.front), 30),
            tube(line(crank, foot, (knee[0] - 60, foot[1]), knee, head), 44),
        ]
    pieces += [
        tube(line(at.head_low, foot), 40),
        tube(line(at.head_low, between(crank, at.seat_top, 0.4)), 36),
    ]
    return "".join(pieces)


def _second_head(at: FramePoints, shape: Shape) -> tuple[Point, Point]:
    """Where the beam of a long bike rises, and the head above its front wheel."""
    return (at.front[0] - shape.wheel_front - 50, at.front[1] - 60), (
        at.front[0] - 70,
        at.front[1] - shape.wheel_front - 60,
    )


def _recumbent(at: FramePoints, low: Point) -> str:
    """Stays, one long tube under the seat, and the boom to the cranks ahead of the wheel."""
    return "".join(
        [
            tube(line(at.rear, low), 28),
            tube(line(at.rear, (at.saddle[0] - 230, at.saddle[1] - 250)), 20),
            tube(line(low, at.head_low, at.bottom_bracket), 48),
            tube(line(at.head_top, at.crown), 44),
            path(line(at.head_top, at.clamp), 20),
        ]
    )


def bar(at: FramePoints, shape: Shape) -> str:
    """Drop bar with its hood, a flat or swept-back bar with its lever, or the high bar of a recumbent."""
    x, y = at.clamp
    if shape.bar == "drop":
        hood = path(f"M{x + 62:.0f} {y - 6:.0f}c26-8 40-34 46-58", 26)
        lever = path(f"M{x + 104:.0f} {y - 40:.0f}c34 14 30 84-8 118", 8)
        return path(f"M{x:.0f} {y:.0f}h52c44 0 60 26 56 66c-6 52-52 62-120 60", 20) + hood + lever
    if shape.bar == "high":
        return path(f"M{x:.0f} {y:.0f}l-30-20", 18) + path(f"M{x - 30:.0f} {y - 20:.0f}l-70-50", 28)
    if shape.bar == "swept":
        grip = path(f"M{x - 80:.0f} {y - 104:.0f}l-120 18", 26)
        lever = path(f"M{x - 62:.0f} {y - 96:.0f}c-40 26-70 34-118 38", 7)
        return path(f"M{x:.0f} {y:.0f}c24-40 10-104-80-104", 18) + grip + lever
    grip = path(f"M{x:.0f} {y - 28:.0f}l-74 6", 28)
    return path(f"M{x:.0f} {y:.0f}v-28", 20) + grip + path(f"M{x + 6:.0f} {y - 20:.0f}c20 14 26 34 22 66", 8)


def seat(at: FramePoints, shape: Shape) -> str:
    """Post, clamp and saddle, or the reclined seat of a recumbent."""
    x, y = at.saddle
    if shape.layout == "recumbent":
        shell = f"M{x + 190:.0f} {y - 20:.0f}c-60 40-150 60-190 20c-40-60-190-330-290-430"
        return path(shell, 22) + path(line((x - 230, y - 250), (x - 150, y - 210)), 12)
    rails = (x + 4, y + 34)
    shell = f"M{x - 122:.0f} {y - 6:.0f}c40-26 78-4 128-4l112 4c26 2 24 22-2 22l-104 8c-40 18-118 30-134-30z"
    top = along(at.seat_top, 180 + shape.seat_angle, 14)
    under = path(line((x - 70, y + 40), (x + 70, y + 28)), 7)
    return path(line(at.seat_top, rails), 22) + path(shell, 7) + under + tube(line(at.seat_top, top), 44)


def second_bar(ahead: FramePoints) -> str:
    """The bar of the rear rider of a tandem, on the seat post of the front one."""
    x, y = between(ahead.seat_top, ahead.saddle, 0.3)
    return path(line((x, y), (x - 95, y - 10)), 16) + path(
        f"M{x - 95:.0f} {y - 10:.0f}c10-30-20-56-64-50", 20
    )
