"""The drive of the side view: cranks, chain or belt, what is behind, battery and motor."""

from math import atan2, degrees

from pinchbolt.drawing.bike_ink import FAINT, LINKS, line, path, ring, shade, tube
from pinchbolt.drawing.bike_shape import FramePoints, Point, Shape, along, between

_SMALL, _STACK, _HUB_GEAR = 38.0, 62.0, 50.0


def drive(at: FramePoints, shape: Shape, has: frozenset[str]) -> str:
    """Ring, cranks, pedals and what is behind, with the chain or belt on its way."""
    hub, rear = at.bottom_bracket, at.rear
    belt = "belt" in has
    sprocket = _STACK if "sprockets" in has else _SMALL
    pieces = [_far_crank(hub), _toothed(hub, shape.teeth, belt), _toothed(rear, sprocket, belt)]
    if "hub-gear" in has:
        pieces.append(ring(rear, _HUB_GEAR, 8) + ring(rear, _HUB_GEAR - 16, 4))
    if shape.layout == "tandem":
        # The riders' own chain runs on the far side.
        pieces.append(_far_crank(at.captain) + ring(at.captain, shape.teeth, 7, FAINT))
        for side in (-1, 1):
            run = line(*((one[0], one[1] + side * shape.teeth) for one in (hub, at.captain)))
            pieces.append(path(run, 7, LINKS + FAINT))
        pieces.append(_near_crank(at.captain))
    via = (at.saddle[0] + 10, at.saddle[1] + 105) if shape.layout == "recumbent" else None
    pieces.append(_run(hub, rear, shape.teeth + 4, sprocket + 4, belt, "derailleur" in has, via))
    if "chain-case" in has:
        pieces.append(_case(hub, rear, shape.teeth + 26, sprocket + 30))
    if "motor" in has:
        pieces.append(shade((hub[0] + 12, hub[1]), 96))
    return "".join([*pieces, _near_crank(hub)])


def _far_crank(hub: Point) -> str:
    far = along(hub, 200, 165)
    return path(line(hub, far), 16, FAINT) + path(
        line((far[0] - 42, far[1]), (far[0] + 42, far[1])), 16, FAINT
    )


def _near_crank(hub: Point) -> str:
    near = along(hub, 20, 165)
    pedal = path(line((near[0] - 48, near[1]), (near[0] + 48, near[1])), 20)
    return tube(line(hub, near), 26) + pedal + ring(hub, 24, 7)


def _toothed(centre: Point, radius: float, belt: bool) -> str:
    """A ring or sprocket: with teeth, or smooth with the flange that keeps a belt on."""
    if belt:
        return ring(centre, radius, 7) + ring(centre, radius - 16, 3)
    return ring(centre, radius, 7) + ring(centre, radius + 5, 7, ' stroke-dasharray="6 7"')


def _run(
    hub: Point, rear: Point, teeth: float, sprocket: float, belt: bool, derailleur: bool, via: Point | None
) -> str:
    """A chain as its links, a belt as a band: the top run straight, the lower one by way of the jockey wheels if any."""
    slope = degrees(atan2(hub[1] - rear[1], hub[0] - rear[0]))
    width, links = (13.0, "") if belt else (9.0, LINKS)
    over, under = ([(via[0], via[1] + n)] if via else [] for n in (-30, 30))
    wheel = ring(via, 26, 6) if via else ""
    top = path(line(along(rear, slope - 90, sprocket), *over, along(hub, slope - 90, teeth)), width, links)
    if not derailleur:
        low = line(along(rear, slope + 90, sprocket), *under, along(hub, slope + 90, teeth))
        return wheel + top + path(low, width, links)
    guide = (rear[0] + 26, rear[1] + sprocket + 42)
    tension = (guide[0] + 34, guide[1] + 104)
    lower = path(line((tension[0], tension[1] + 22), *under, along(hub, slope + 90, teeth)), width, links)
    cage = tube(line(guide, tension), 30)
    body = path(line((rear[0] + 16, rear[1] + 40), (guide[0] - 12, guide[1] - 14), guide), 22)
    wheels = "".join(
        ring(one, 22, 6) + ring(one, 25, 5, ' stroke-dasharray="5 6"') for one in (guide, tension)
    )
    return wheel + top + lower + body + cage + wheels


def _case(hub: Point, rear: Point, front: float, behind: float) -> str:
    """A case round the whole chain: two bows and the lines between them."""
    slope = degrees(atan2(hub[1] - rear[1], hub[0] - rear[0]))
    points = [
        along(rear, slope + 90, behind),
        along(rear, slope - 90, behind),
        along(hub, slope - 90, front),
        along(hub, slope + 90, front),
    ]
    (a, b, c, d) = ((f"{x:.0f} {y:.0f}") for x, y in points)
    return path(f"M{a}A{behind:g} {behind:g} 0 0 1 {b}L{c}A{front:g} {front:g} 0 0 1 {d}Z", 7)


def battery(at: FramePoints, shape: Shape) -> str:
    """A battery along the down tube, or along what is in its place."""
    low = between(at.head_top, at.head_low, 0.9)
    ends = between(low, at.bottom_bracket, 0.28), between(low, at.bottom_bracket, 0.78)
    if shape.step_through:
        ends = (ends[0][0] - 22, ends[0][1] + 70), (ends[1][0] - 14, ends[1][1] + 20)
    if shape.layout == "box in front":
        ends = between(at.bottom_bracket, at.seat_top, 0.15), between(at.bottom_bracket, at.seat_top, 0.75)
        ends = (ends[0][0] - 70, ends[0][1]), (ends[1][0] - 70, ends[1][1])
    return path(line(*ends), 62, ' stroke-opacity="0.28"') + path(
        line(between(*ends, 0.3), between(*ends, 0.7)), 8
    )


def hub_motor(centre: Point) -> str:
    """A motor in a hub."""
    return shade(centre, 96) + ring(centre, 96, 7)
