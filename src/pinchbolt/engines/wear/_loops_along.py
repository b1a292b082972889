"""Order in distance (`_along`) as loops, for many parts: the only reading's law at other paces, and the median held to those."""

from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._along import BAND, FIRST_BEYOND, MIDDLE, PACES, may_come_later, pace_of, place_of
from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._loops_filter import CloudRoom, grown, look_at, spread_of
from pinchbolt.engines.wear._loops_guard import (
    NOW,
    SHARE,
    WORSE,
    Points,
    StackRoom,
    lay_stack,
    passed_between,
    stack_room,
)
from pinchbolt.engines.wear._scale import Array

ANY, FIRST, WAY, BOTH = range(4)
BEGUN, WORSE_AT, SHARE_AT, NOW_AT = range(4)  # of each pace: its first node, and the figures of its stack
WORST, ITS_RISE, BEYOND, BEYOND_RISE, FLOOR, FLOOR_RISE = range(6)


class AlongRoom(NamedTuple):
    """`Along`: the nodes of the laws at the paces that count, one after another; `one` law, to lay it.

    `of`: whether there are any, the first pace that counts, the share of the way to the next, whether the median may come later.
    `held`: probit and slope at each use of the worst of the laws, of the worst beyond the first, and of the law of an unknown distance."""

    nodes: StackRoom
    one: StackRoom
    paces: Array
    of: Array
    held: Array


def along_room(components: int, points: int) -> AlongRoom:
    """Room for the laws at all paces of any part of so many components."""
    return AlongRoom(
        stack_room(components, len(PACES)), stack_room(components, 1), np.zeros((4, len(PACES) + 1)), np.zeros(4),
        np.zeros((6, points)),
    )  # fmt: skip


def lay_along(
    part: PartArrays, room: CloudRoom, n: int, least_weight: float, along: AlongRoom, floor_now: float
) -> None:
    """See `_along.along_of`: by the belief just before the only reading, whose look is in *room* and is there again afterwards.

    *floor_now*: probit of the chance of being past the limit now if the distance were not known."""
    pace = pace_of(part)
    along.of[ANY] = 1.0 if pace > 0.0 else 0.0
    if pace <= 0.0:
        return
    first, share = place_of(pace)
    along.of[FIRST], along.of[WAY] = first, share
    along.of[BOTH] = 1.0 if may_come_later(part, pace) else 0.0
    use, var, bedded = part.use[0], part.use_var[0], part.bedded[0]
    along.nodes.nodes[0], along.nodes.first[0] = 0, 0
    for k in range(first, len(PACES)):
        times = PACES[k] / max(pace, PACES[0])
        _stand_at(part, room, n, use * times, var * times * times, bedded**times)
        lay_stack(part, room, along.one, 0, n, least_weight)
        _put_aside(along, k)
        if k >= FIRST_BEYOND:
            along.paces[NOW_AT, k] = min(along.paces[NOW_AT, k], floor_now)
    along.paces[BEGUN, len(PACES)] = along.nodes.nodes[0]
    _stand_at(part, room, n, use, var, bedded)


def _put_aside(along: AlongRoom, pace: int) -> None:
    """Put the law that was laid behind those of the paces before."""
    to, one = along.nodes, along.one
    at, fill = to.nodes[0], to.first[to.nodes[0]]
    along.paces[BEGUN, pace] = at
    along.paces[WORSE_AT, pace], along.paces[SHARE_AT, pace] = one.figures[WORSE], one.figures[SHARE]
    along.paces[NOW_AT, pace] = one.figures[NOW]
    for k in range(one.first[one.nodes[0]]):
        to.weight[fill + k], to.rate[fill + k] = one.weight[k], one.rate[k]
        to.wear[fill + k], to.var[fill + k] = one.wear[k], one.var[k]
    for k in range(one.nodes[0]):
        to.least[at + k], to.first[at + k + 1] = one.least[k], fill + one.first[k + 1]
    to.nodes[0] = at + one.nodes[0]


def _stand_at(part: PartArrays, room: CloudRoom, n: int, use: float, var: float, bedded: float) -> None:
    """Let the only reading have been taken after *use*, in the part as in *room*."""
    use_before, before = part.use[0], spread_of(part, part.use[0]) + part.use_var[0]
    part.use[0], part.use_var[0], part.bedded[0] = use, var, bedded
    grown(room, n, 0, use - use_before, spread_of(part, use) + var - before)
    look_at(part, room, n, 0)


def near_median(along: AlongRoom, now: float, points: Points) -> bool:
    """Whether any of the uses may be led (`_along.led`); how far back it was passed is no more likely than *now* (`led_now`)."""
    near = False
    for p in range(len(points.use)):
        near = near or (points.use[p] >= 0.0 and abs(points.z[p]) <= MIDDLE)
        if points.use[p] < 0.0 and points.z[p] > now:
            points.z[p], points.rise[p] = now, 0.0
    return near


def keep_floor(along: AlongRoom, unknown: Points) -> None:
    """Keep what the law of an unknown distance says at each use."""
    for p in range(len(unknown.use)):
        along.held[FLOOR, p], along.held[FLOOR_RISE, p] = unknown.z[p], unknown.rise[p]


def lead(along: AlongRoom, mark: float, points: Points, there: Points) -> None:
    """See `_along.led`: moves the probit of the chance at each use, and its slope; *there*: the same uses, to work at."""
    first, last, held, share = int(along.of[FIRST]), len(PACES) - 1, along.held, along.of[WAY]
    for k in range(last, first - 1, -1):
        passed_between(
            along.nodes, int(along.paces[BEGUN, k]), int(along.paces[BEGUN, k + 1]), along.paces[WORSE_AT, k],
            along.paces[SHARE_AT, k], mark, there,
        )  # fmt: skip
        for p in range(len(points.use)):
            if k >= FIRST_BEYOND and held[FLOOR, p] < there.z[p]:
                there.z[p], there.rise[p] = held[FLOOR, p], held[FLOOR_RISE, p]
            if k == last or there.z[p] > held[WORST, p]:
                held[WORST, p], held[ITS_RISE, p] = there.z[p], there.rise[p]
            if k > first or k == last:
                held[BEYOND, p], held[BEYOND_RISE, p] = held[WORST, p], held[ITS_RISE, p]
    for p in range(len(points.use)):
        if points.use[p] >= 0.0 and abs(points.z[p]) <= MIDDLE:
            to = (1.0 - share) * held[WORST, p] + share * held[BEYOND, p]
            z = median_at(points.z[p], to, along.of[BOTH] > 0.0)
            if z != points.z[p]:
                rise = (1.0 - share) * held[ITS_RISE, p] + share * held[BEYOND_RISE, p]
                points.z[p], points.rise[p] = z, rise if z == to else 0.0


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
        beyond = max(beyond, along.paces[NOW_AT, k])
    worst = max(beyond, along.paces[NOW_AT, first])
    share = along.of[WAY]
    held = worst if beyond == -np.inf else (1.0 - share) * worst + share * beyond
    return median_at(own, held, along.of[BOTH] > 0.0)
