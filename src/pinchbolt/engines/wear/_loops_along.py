"""Order in distance (`_along`) as loops, for many parts: the only reading's law at other paces, and the median held to those."""

from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._along import BAND, MIDDLE, PACES, pace_of, place_of, shown_wear
from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._loops_filter import CloudRoom, grown, look_at, spread_of
from pinchbolt.engines.wear._loops_guard import NOW, Points, StackRoom, lay_stack, passed, stack_room
from pinchbolt.engines.wear._scale import Array

ANY, FIRST, WAY, BOTH = range(4)


class AlongRoom(NamedTuple):
    """`Along`: the laws at all paces, of which those from the first that counts on are laid; probit and slope at each use of the
    worst of them, and of the worst beyond the first.

    `of`: whether there are any, the first that counts, the share of the way to the next, whether the median may come later."""

    stacks: tuple[StackRoom, ...]
    of: Array
    worst: Array  # 2 x uses
    beyond: Array


def along_room(components: int, points: int) -> AlongRoom:
    """Room for the laws at all paces of any part of so many components."""
    return AlongRoom(
        (
            stack_room(components), stack_room(components), stack_room(components), stack_room(components), stack_room(components),
            stack_room(components), stack_room(components),
        ), np.zeros(4), np.zeros((2, points)), np.zeros((2, points)),
    )  # fmt: skip


def lay_along(part: PartArrays, room: CloudRoom, n: int, least_weight: float, along: AlongRoom) -> None:
    """See `_along.along_of`: by the belief just before the only reading, whose look is in *room* and is there again afterwards."""
    pace = pace_of(part)
    along.of[ANY] = 1.0 if pace > 0.0 else 0.0
    if pace <= 0.0:
        return
    first, share = place_of(pace)
    along.of[FIRST], along.of[WAY] = first, share
    along.of[BOTH] = 1.0 if pace >= PACES[0] and shown_wear(part) < 1.0 else 0.0
    use, var, bedded = part.use[0], part.use_var[0], part.bedded[0]
    for k in range(first, len(PACES)):
        times = PACES[k] / max(pace, PACES[0])
        _stand_at(part, room, n, use * times, var * times * times, bedded**times)
        lay_stack(part, room, along.stacks[k], 0, n, least_weight)
    _stand_at(part, room, n, use, var, bedded)


def _stand_at(part: PartArrays, room: CloudRoom, n: int, use: float, var: float, bedded: float) -> None:
    """Let the only reading have been taken after *use*, in the part as in *room*."""
    use_before, before = part.use[0], spread_of(part, part.use[0]) + part.use_var[0]
    part.use[0], part.use_var[0], part.bedded[0] = use, var, bedded
    grown(room, n, 0, use - use_before, spread_of(part, use) + var - before)
    look_at(part, room, n, 0)


def lead(along: AlongRoom, mark: float, points: Points, there: Points) -> None:
    """See `_along.led`: moves the probit of the chance at each use, and its slope; *there*: the same uses, to work at."""
    near = False
    for p in range(len(points.use)):
        near = near or abs(points.z[p]) <= MIDDLE
    if not near:
        return
    first, last = int(along.of[FIRST]), len(PACES) - 1
    worst, beyond, share = along.worst, along.beyond, along.of[WAY]
    for k in range(last, first - 1, -1):
        passed(along.stacks[k], mark, there)
        for p in range(len(points.use)):
            if k == last or there.z[p] > worst[0, p]:
                worst[0, p], worst[1, p] = there.z[p], there.rise[p]
            if k > first or k == last:
                beyond[0, p], beyond[1, p] = worst[0, p], worst[1, p]
    for p in range(len(points.use)):
        held = (1.0 - share) * worst[0, p] + share * beyond[0, p]
        rise = (1.0 - share) * worst[1, p] + share * beyond[1, p]
        if abs(points.z[p]) <= MIDDLE:
            z = median_at(points.z[p], held, along.of[BOTH] > 0.0)
            if z != points.z[p]:
                points.z[p], points.rise[p] = z, rise if z == held else 0.0


def median_at(own: float, held: float, both: bool) -> float:
    """See `_along.median_at`."""
    if held >= 0.0:
        return max(own, min(held, BAND))
    return min(own, max(held, -BAND)) if both else own


def led_now(along: AlongRoom, own: float) -> float:
    """See `_along.led`: of the chance of being past the limit now."""
    if along.of[ANY] == 0.0 or abs(own) > MIDDLE:
        return own
    first, beyond = int(along.of[FIRST]), -np.inf
    for k in range(first + 1, len(PACES)):
        beyond = max(beyond, along.stacks[k].figures[NOW])
    worst = max(beyond, along.stacks[first].figures[NOW])
    share = along.of[WAY]
    held = worst if beyond == -np.inf else (1.0 - share) * worst + share * beyond
    return median_at(own, held, along.of[BOTH] > 0.0)
