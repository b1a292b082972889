"""What a bike carries in the side view: guards, carriers, seats, boxes, stands, lamp."""

from pinchbolt.drawing.bike_ink import disc, line, panel, path, tube
from pinchbolt.drawing.bike_shape import FramePoints, Point, Shape, along


def guard(centre: Point, radius: float, start: float, end: float, stay: float) -> str:
    """A mudguard over a part of the wheel, with its stay."""
    r = radius + 26
    a, b = along(centre, start, r), along(centre, end, r)
    large = 1 if abs(end - start) > 180 else 0
    return path(f"M{a[0]:.0f} {a[1]:.0f}A{r:g} {r:g} 0 {large} 1 {b[0]:.0f} {b[1]:.0f}", 9) + path(
        line(centre, along(centre, stay, r)), 4
    )


def carrier_behind(at: FramePoints, shape: Shape) -> str:
    """A carrier over the rear wheel; on a longtail with its rail for two small riders."""
    deck = at.rear[1] - shape.wheel_rear - 70
    back, front = at.rear[0] - (340 if shape.long_tail else 250), at.seat_top[0] - 20
    if shape.layout == "recumbent":
        front = at.rear[0] + 130
    pieces = [
        path(line((back, deck), (front, deck)), 14),
        path(line(at.rear, (at.rear[0] - 120, deck)), 8),
        path(line(at.rear, (at.rear[0] + 90, deck)), 8),
    ]
    if shape.long_tail:
        rail = deck - 150
        d = f"M{back + 20:.0f} {deck:.0f}V{rail + 40:.0f}q0-40 40-40H{front - 70:.0f}q40 0 40 40V{deck:.0f}"
        beam = line((at.rear[0] - 30, at.rear[1] - 40), (at.bottom_bracket[0] - 120, at.rear[1] - 40))
        pieces += [
            path(d, 12),
            path(line((back + 30, deck + 6), (front - 30, deck + 6)), 26, ' stroke-opacity="0.25"'),
            tube(beam, 22),
        ]
    return "".join(pieces)


def carrier_in_front(at: FramePoints, shape: Shape) -> str:
    """A carrier over the front wheel, on its two legs."""
    x, deck = at.front[0], at.front[1] - shape.wheel_front - 60
    legs = "".join(path(line(at.front, (x + n, deck)), 8) for n in (-90, 100))
    return path(line((x - 150, deck), (x + 210, deck)), 14) + legs


def child_seat_behind(at: FramePoints, shape: Shape) -> str:
    """A child's seat over the rear wheel: shell, foot rest and its bow to the seat tube."""
    x, y = at.rear[0] + 20, at.rear[1] - shape.wheel_rear - 120
    shell = f"M{x + 150:.0f} {y:.0f}h-220c-46 0-58-16-68-60l-52-300c40-20 70-14 84 16l52 224h196q34 0 34 36v50q0 34-26 34z"
    foot = path(line((x + 120, y), (x + 150, y + 170), (x + 230, y + 170)), 12)
    bow = path(line((x - 60, y + 10), (at.seat_top[0] - 10, at.seat_top[1] + 60)), 10)
    return bow + foot + panel(shell)


def child_seat_in_front(at: FramePoints) -> str:
    """A child's seat between saddle and bar."""
    x, y = at.head_top[0] - 130, at.head_top[1] - 30
    shell = f"M{x + 70:.0f} {y:.0f}h-120c-26 0-36-10-42-36l-26-150c26-14 44-8 54 12l28 108h106q22 0 22 24v20q0 22-22 22z"
    return path(line((x + 40, y), (x + 62, y + 110), (x + 110, y + 110)), 10) + panel(shell)


def box(at: FramePoints, shape: Shape) -> str:
    """A box ahead of the bar: above the axle of two wheels, else behind the front wheel."""
    back, low = at.head_low[0] + 50, at.bottom_bracket[1] + 30
    front = at.front[0] + 210 if shape.front_wheels > 1 else at.front[0] - shape.wheel_front - 70
    top = low - 400
    d = f"M{back + 30:.0f} {low:.0f}L{back - 10:.0f} {top:.0f}H{front:.0f}L{front - 60:.0f} {low:.0f}Z"
    rim = path(line((back - 22, top), (front + 12, top)), 16)
    return panel(d) + rim + path(line((back, top + 90), (front - 10, top + 90)), 3, ' stroke-opacity="0.5"')


def steering_rod(at: FramePoints, shape: Shape) -> str:
    """The rod from the foot of the steering column to the front wheel."""
    foot, end = (at.head_low[0] + 40, at.bottom_bracket[1] + 100), (at.front[0] - 40, at.front[1] + 45)
    return path(line(foot, end), 9) + disc(foot, 13) + disc(end, 13)


def kickstand(at: FramePoints) -> str:
    """A stand that is folded up."""
    x, y = at.bottom_bracket
    return path(line((x - 60, y + 24), (x - 250, y + 66)), 12)


def stabilisers(at: FramePoints) -> str:
    """A small wheel beside the rear one, on its arm."""
    x, y = at.rear
    middle = (x - 24, -66.0)
    arm = tube(line((x, y), (x - 14, y + 110), middle), 22, 6)
    hidden = panel(f"M{middle[0] - 56:.0f} {middle[1]:.0f}a56 56 0 1 0 112 0a56 56 0 1 0-112 0z", 18)
    return hidden + arm + disc(middle, 12)


def lamp(at: FramePoints) -> str:
    """A front lamp at the crown."""
    x, y = at.crown
    return path(f"M{x + 30:.0f} {y - 50:.0f}h40l22 34-22 34h-40z", 7)
