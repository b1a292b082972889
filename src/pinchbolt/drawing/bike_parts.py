"""Pieces of the side view, each a string of SVG in the page's own ink."""

from math import atan2, cos, degrees, hypot, pi, radians, sin

from pinchbolt.drawing.bike_shape import Point, Points, Shape, along, between

INK = 'fill="none" stroke="currentColor" stroke-linejoin="round"'


def path(d: str, width: float = 7, more: str = "") -> str:
    """A line of ink."""
    # Dashes are cut square, else their round ends close the gaps.
    cap = "butt" if "dasharray" in more else "round"
    return f'<path {INK} stroke-linecap="{cap}" stroke-width="{width:g}" d="{d}"{more}/>'


def ring(centre: Point, radius: float, width: float = 7, more: str = "") -> str:
    """A circle of ink."""
    return f'<circle {INK} stroke-width="{width:g}" cx="{centre[0]:.0f}" cy="{centre[1]:.0f}" r="{radius:g}"{more}/>'


def disc(centre: Point, radius: float) -> str:
    """A filled circle."""
    return f'<circle fill="currentColor" cx="{centre[0]:.0f}" cy="{centre[1]:.0f}" r="{radius:g}"/>'


def line(*points: Point) -> str:
    """The d of a line through points."""
    return "M" + "L".join(f"{x:.0f} {y:.0f}" for x, y in points)


def tube(d: str, width: float = 34, wall: float = 7) -> str:
    """A tube as its two edges: ink with the page's paper inside."""
    return (
        f'<path class="bike-edge" {INK} stroke-linecap="round" stroke-width="{width:g}" d="{d}"/>'
        f'<path class="bike-inside" fill="none" stroke="#ffffff" stroke-linecap="round" stroke-linejoin="round" '
        f'stroke-width="{width - 2 * wall:g}" d="{d}"/>'
    )


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


def fork(at: Points, shape: Shape) -> str:
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


def frame(at: Points, shape: Shape, swing: bool) -> str:
    """Stays, tubes and head; a swinging rear end with its shock where there is one."""
    crank, seat = at.bottom_bracket, at.seat_top
    top = between(at.head_top, at.head_low, 0.2)
    low = between(at.head_top, at.head_low, 0.78)
    seat_joint = between(crank, seat, 0.9)
    pieces = []
    if swing:
        pivot = between(crank, seat, 0.42)
        yoke = between(crank, seat, 0.62)
        shock = between(low, crank, 0.42)
        pieces += [
            tube(line(at.rear, (crank[0] + 8, crank[1] - 60)), 30),
            tube(line(at.rear, yoke, (yoke[0] + 60, yoke[1] - 10)), 26),
            tube(line((yoke[0] + 60, yoke[1] - 10), shock), 40),
            path(
                line(between((yoke[0] + 60, yoke[1] - 10), shock, 0.45), shock), 30, ' stroke-dasharray="4 9"'
            ),
            disc(pivot, 10),
        ]
    else:
        pieces += [tube(line(at.rear, crank), 26), tube(line(at.rear, seat_joint), 22)]
    pieces.append(tube(line(crank, seat), 36))
    if shape.step_through:
        meet = between(crank, seat, 0.36)
        bow = (low[0] - (low[0] - meet[0]) * 0.55, meet[1] - 20)
        pieces += [
            tube(f"M{low[0]:.0f} {low[1]:.0f}Q{bow[0]:.0f} {bow[1]:.0f} {crank[0]:.0f} {crank[1]:.0f}", 46),
            tube(
                f"M{top[0]:.0f} {top[1] + 30:.0f}Q{bow[0] + 10:.0f} {bow[1] - 40:.0f} {meet[0]:.0f} {meet[1]:.0f}",
                28,
            ),
        ]
    else:
        pieces += [tube(line(low, crank), 44), tube(line(top, between(crank, seat, 0.92)), 34)]
    pieces.append(tube(line(at.head_top, at.head_low), 48))
    pieces.append(path(line(at.head_top, along(at.head_top, 180 + shape.head_angle, 45), at.clamp), 20))
    return "".join(pieces)


def bar(at: Points, shape: Shape) -> str:
    """Drop bar with its hood, or a flat or swept-back bar with its lever."""
    x, y = at.clamp
    if shape.bar == "drop":
        hood = path(f"M{x + 62:.0f} {y - 6:.0f}c26-8 40-34 46-58", 26)
        lever = path(f"M{x + 104:.0f} {y - 40:.0f}c34 14 30 84-8 118", 8)
        return path(f"M{x:.0f} {y:.0f}h52c44 0 60 26 56 66c-6 52-52 62-120 60", 20) + hood + lever
    if shape.bar == "swept":
        grip = path(f"M{x - 80:.0f} {y - 104:.0f}l-120 18", 26)
        lever = path(f"M{x - 62:.0f} {y - 96:.0f}c-40 26-70 34-118 38", 7)
        return path(f"M{x:.0f} {y:.0f}c24-40 10-104-80-104", 18) + grip + lever
    grip = path(f"M{x:.0f} {y - 28:.0f}l-74 6", 28)
    return path(f"M{x:.0f} {y:.0f}v-28", 20) + grip + path(f"M{x + 6:.0f} {y - 20:.0f}c20 14 26 34 22 66", 8)


def seat(at: Points, shape: Shape) -> str:
    """Post, clamp and saddle."""
    x, y = at.saddle
    rails = (x + 4, y + 34)
    shell = f"M{x - 122:.0f} {y - 6:.0f}c40-26 78-4 128-4l112 4c26 2 24 22-2 22l-104 8c-40 18-118 30-134-30z"
    top = along(at.seat_top, 180 + shape.seat_angle, 14)
    under = path(line((x - 70, y + 40), (x + 70, y + 28)), 7)
    return path(line(at.seat_top, rails), 22) + path(shell, 7) + under + tube(line(at.seat_top, top), 44)


def crank(at: Points, shape: Shape, teeth: float, sprocket: float, derailleur: bool) -> str:
    """Chainring, crank arms, pedals, sprockets and the chain on its way."""
    hub, rear = at.bottom_bracket, at.rear
    far, near = along(hub, 200, 165), along(hub, 20, 165)
    pieces = [
        path(line(hub, far), 16, ' stroke-opacity="0.45"'),
        path(line((far[0] - 42, far[1]), (far[0] + 42, far[1])), 16, ' stroke-opacity="0.45"'),
        ring(hub, teeth, 7),
        ring(hub, teeth + 5, 7, ' stroke-dasharray="6 7"'),
        ring(rear, sprocket, 6),
        ring(rear, sprocket + 4, 6, ' stroke-dasharray="5 6"'),
    ]
    pieces.append(chain(hub, rear, teeth + 4, sprocket + 4, derailleur))
    pedal = path(line((near[0] - 48, near[1]), (near[0] + 48, near[1])), 20)
    return "".join([*pieces, tube(line(hub, near), 26), pedal, ring(hub, 24, 7)])


def chain(hub: Point, rear: Point, teeth: float, sprocket: float, derailleur: bool) -> str:
    """The chain as its links: the top run straight, the lower run by way of the jockey wheels where there are any."""
    slope = degrees(atan2(hub[1] - rear[1], hub[0] - rear[0]))
    links = ' stroke-dasharray="11 5"'
    top = path(line(along(rear, slope - 90, sprocket), along(hub, slope - 90, teeth)), 9, links)
    if not derailleur:
        return top + path(line(along(rear, slope + 90, sprocket), along(hub, slope + 90, teeth)), 9, links)
    guide = (rear[0] + 26, rear[1] + sprocket + 46)
    tension = (guide[0] + 34, guide[1] + 104)
    lower = path(line((tension[0], tension[1] + 22), along(hub, slope + 90, teeth)), 9, links)
    cage = tube(line(guide, tension), 30)
    body = path(line((rear[0] + 16, rear[1] + 40), (guide[0] - 12, guide[1] - 14), guide), 22)
    wheels = "".join(
        ring(one, 22, 6) + ring(one, 25, 5, ' stroke-dasharray="5 6"') for one in (guide, tension)
    )
    return top + lower + body + cage + wheels


def guard(centre: Point, radius: float, start: float, end: float, stay: float) -> str:
    """A mudguard over a part of the wheel, with its stay."""
    r = radius + 26
    a, b = along(centre, start, r), along(centre, end, r)
    large = 1 if abs(end - start) > 180 else 0
    return path(f"M{a[0]:.0f} {a[1]:.0f}A{r:g} {r:g} 0 {large} 1 {b[0]:.0f} {b[1]:.0f}", 9) + path(
        line(centre, along(centre, stay, r)), 4
    )


def carrier(at: Points, shape: Shape, long: bool) -> str:
    """A carrier over the rear wheel; on a longtail with its rail for two small riders."""
    deck = at.rear[1] - shape.wheel_rear - 70
    back, front = at.rear[0] - (340 if long else 250), at.seat_top[0] - 20
    pieces = [
        path(line((back, deck), (front, deck)), 14),
        path(line(at.rear, (at.rear[0] - 120, deck)), 8),
        path(line(at.rear, (at.rear[0] + 90, deck)), 8),
    ]
    if long:
        rail = deck - 150
        pieces.append(
            path(
                f"M{back + 20:.0f} {deck:.0f}V{rail + 40:.0f}q0-40 40-40H{front - 70:.0f}q40 0 40 40V{deck:.0f}",
                12,
            )
        )
        pieces.append(path(line((back + 30, deck + 6), (front - 30, deck + 6)), 26, ' stroke-opacity="0.25"'))
        pieces.append(
            tube(line((at.rear[0] - 30, at.rear[1] - 40), (at.bottom_bracket[0] - 120, at.rear[1] - 40)), 22)
        )
    return "".join(pieces)


def drive_unit(at: Points, shape: Shape, hub_motor: bool) -> str:
    """Battery in the down tube or on the carrier line, and a motor at the cranks or in a hub."""
    low = between(at.head_top, at.head_low, 0.9)
    middle, crank_ = between(low, at.bottom_bracket, 0.28), between(low, at.bottom_bracket, 0.78)
    if shape.step_through:
        middle, crank_ = (middle[0] - 22, middle[1] + 70), (crank_[0] - 14, crank_[1] + 20)
    battery = path(line(middle, crank_), 62, ' stroke-opacity="0.28"')
    battery += path(line(between(middle, crank_, 0.3), between(middle, crank_, 0.7)), 8)
    x, y = at.bottom_bracket
    if hub_motor:
        return battery + ring(at.rear, 74, 8)
    return (
        battery + f'<circle fill="currentColor" fill-opacity="0.28" cx="{x + 12:.0f}" cy="{y:.0f}" r="96"/>'
    )


def kickstand(at: Points) -> str:
    """A stand that is folded up."""
    x, y = at.bottom_bracket
    return path(line((x - 60, y + 24), (x - 250, y + 66)), 12)


def lamp(at: Points) -> str:
    """A front lamp at the crown."""
    x, y = at.crown
    return path(f"M{x + 30:.0f} {y - 50:.0f}h40l22 34-22 34h-40z", 7)


def caliper(centre: Point, angle: float, radius: float) -> str:
    """A brake caliper on its rotor, or a rim brake on its rim."""
    place = along(centre, angle, radius)
    turn = radians(angle)
    across = (sin(turn) * 30, -cos(turn) * 30)
    return path(
        line((place[0] - across[0], place[1] - across[1]), (place[0] + across[0], place[1] + across[1])), 34
    )
