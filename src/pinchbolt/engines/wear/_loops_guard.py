"""The guard (`_guard`) as loops, for many parts: the law at each node, and the chance at some uses with its slopes."""

from math import exp, sqrt
from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._filter import OTHER, PartArrays
from pinchbolt.engines.wear._guard import (
    ANCHOR_HIGH,
    ANCHOR_LOW,
    AT_MARK,
    HALVINGS,
    LEAST_VAR,
    Stack,
    interval_nodes,
    value_nodes,
)
from pinchbolt.engines.wear._loops import (
    OUT,
    bell_and_tail,
    integral,
    mixed,
    probit,
    shown_below,
    tail_over_bell,
)
from pinchbolt.engines.wear._loops_filter import CloudRoom, set_slip, spread_of, tell
from pinchbolt.engines.wear._normal import ROOT_2PI
from pinchbolt.engines.wear._scale import Array

ANCHOR_STEPS, ANCHOR_PRECISION = 40, 1e-8
LANES = 8  # uses that the processor takes at a time


class Points(NamedTuple):
    """Some uses: variance of growth over each and half its slope; the chance there and its slope, as told, at one node, and
    at the node before the last."""

    use: Array
    spread: Array
    by: Array
    chance: Array
    slope: Array
    node: Array
    node_slope: Array
    before: Array
    before_slope: Array


def expected_reading(room: CloudRoom, start: int, stop: int) -> float:
    """See `_guard.expected_reading`: the same cell of the same halvings, found by Newton steps."""
    whole, at, low, high = 0.0, 0.0, ANCHOR_LOW, ANCHOR_HIGH
    for k in range(start, stop):
        whole += room.weight[k]
        at += room.weight[k] * room.expected[k]
    at = min(max(at / whole, low), high)
    for _ in range(ANCHOR_STEPS):
        below, density = shown_below(room.weight, room.expected, room.variance, start, stop, at)
        below, density = below / whole, density / whole
        if below < 0.5:
            low = at
        else:
            high = at
        to = at + (0.5 - below) / max(density, 1e-12)
        if not low < to < high:
            to = 0.5 * (low + high)
        if abs(to - at) < ANCHOR_PRECISION:
            break
        at = to
    cells = 2**HALVINGS
    width = (ANCHOR_HIGH - ANCHOR_LOW) / cells
    cell = min(max(int((at - ANCHOR_LOW) / width), 0), cells - 1)
    return float(ANCHOR_LOW + width * (cell + 0.5))


def stack_of(part: PartArrays, room: CloudRoom, start: int, stop: int, least_weight: float) -> Stack:
    """See `_guard.stack_of`: of the components from *start* to *stop*, whose look and slip are in *room*."""
    last = len(part.low) - 1
    if last < 0:
        return _unread(part, room, start, stop)
    low, high = part.low[last], part.high[last]
    anchor = expected_reading(room, start, stop)
    if low == high:
        lows, least, share = value_nodes(part, anchor, low)
        highs = lows
        worse = 1.0 if low >= anchor else -1.0
    else:
        lows, highs, least = interval_nodes(part, anchor, low)
        share = 1.0
        worse = 1.0 if len(lows) > 1 and lows[1] > lows[0] else -1.0
    return stack_at(part, room, start, stop, least_weight, lows, highs, least, worse, share)


def stack_at(
    part: PartArrays, room: CloudRoom, start: int, stop: int, least_weight: float,
    lows: Array, highs: Array, least: Array, worse: float, share: float,
) -> Stack:  # fmt: skip
    """The law as of now at the nodes from *lows* to *highs*."""
    last, size, n = len(part.low) - 1, stop - start, len(lows)
    use = part.use[last + 1]
    spread = spread_of(part, use) + part.use_var[last + 1]
    flat = set_slip(part, room, stop, last, True)
    if len(part.marks) > 0:
        # The last reading of a safety part is never put down to a slip.
        for k in range(stop):
            room.slip[k] = 0.0
    weight, rate, wear, var = np.empty(n * size), np.empty(n * size), np.empty(n * size), np.empty(n * size)
    first, fill = np.zeros(n + 1, np.int64), 0
    for i in range(n):
        tell(room, start, stop, lows[i], highs[i], flat)
        total = _at_node(part, room, start, stop, lows[i], highs[i], least[i])
        begun, kept = fill, 0.0
        for k in range(start, stop):
            if room.total[k] > least_weight * total:
                weight[fill], rate[fill] = room.total[k], room.rate[k]
                wear[fill] = room.first[k] + room.rate[k] * use
                var[fill] = room.drop[k] + room.rate[k] * room.rate[k] * spread
                kept += room.total[k]
                fill += 1
        for k in range(begun, fill):
            weight[k] /= kept
        first[i + 1] = fill
    return Stack(
        weight,
        rate,
        wear,
        var,
        first,
        least,
        worse,
        share,
        part.noise,
        part.slow_sd,
        part.slow_use,
        part.ahead,
    )


def _unread(part: PartArrays, room: CloudRoom, start: int, stop: int) -> Stack:
    """Of a part that nobody has read: what is believed."""
    first, total = np.zeros(2, np.int64), 0.0
    first[1] = stop - start
    var = np.empty(stop - start)
    for k in range(start, stop):
        total += room.weight[k]
        var[k - start] = max(room.cov[0, k], LEAST_VAR)
    return Stack(
        room.weight[start:stop] / total, room.rate[start:stop].copy(), room.mean[0, start:stop].copy(), var, first,
        np.full(1, -np.inf), 1.0, 1.0, part.noise, part.slow_sd, part.slow_use, part.ahead,
    )  # fmt: skip


def _at_node(
    part: PartArrays, room: CloudRoom, start: int, stop: int, low: float, high: float, least: float
) -> float:
    """See `_guard.at_node` and `above`: puts weight, wear and its variance where what the reading told was; sum of weights."""
    total = 0.0
    for k in range(start, stop):
        wear = room.mean[0, k] + room.seen[0, k] * room.first[k]
        var = max(room.cov[0, k] - room.seen[0, k] * room.seen[0, k] * room.drop[k], LEAST_VAR)
        room.total[k] *= room.weight[k]
        room.first[k], room.drop[k] = wear, var
    if low < high and low == -np.inf:
        # No part is younger than new: of one whose distance is not known a mark that it is below says no more than that.
        other = start
        while other < stop and room.story[other] != OTHER:
            other += 1
        cut_off_at_new(room.total, room.first, room.drop, other, stop)
    elif least > -np.inf:
        for k in range(start, stop):
            _cut_off_below(room, k, least)
    for k in range(start, stop):
        total += room.total[k]
    return total


def cut_off_at_new(total: Array, wear: Array, var: Array, start: int, stop: int) -> None:
    """See `_guard.above`, of wear 0: eight components at a time. What lies further than OUT below it weighs nothing any more."""
    for k in range(start, stop):
        root = sqrt(var[k])
        a = -wear[k] / root
        out = abs(a)
        e, tail = bell_and_tail(OUT if out > OUT else out)
        chance = tail if a > 0.0 else 1.0 - tail
        hazard = e / (chance * ROOT_2PI)
        moved = wear[k] + root * hazard
        left = var[k] * (1.0 + a * hazard - hazard * hazard)
        total[k] *= chance
        wear[k] = 0.0 if moved < 0.0 else moved
        var[k] = LEAST_VAR if left < LEAST_VAR else left


def _cut_off_below(room: CloudRoom, k: int, mark: float) -> None:
    """See `_guard.above`."""
    wear, var = room.first[k], room.drop[k]
    root = var**0.5
    a = min((mark - wear) / root, 30.0)
    chance = max(integral(-a), 1e-290)
    hazard = 1.0 / tail_over_bell(a) if a > 0.0 else exp(-0.5 * a * a) / ROOT_2PI / chance
    room.total[k] *= chance
    room.first[k] = max(wear + root * hazard, mark)
    room.drop[k] = max(var * (1.0 + a * hazard - hazard * hazard), LEAST_VAR)


def points_for(count: int) -> Points:
    """CloudRoom for so many uses, and for as many more as make the number one of eights."""
    n = (count + LANES - 1) // LANES * LANES
    return Points(
        np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    )  # fmt: skip


def set_spread(stack: Stack, points: Points) -> None:
    """See `_scale.unevenness`, and the rate ahead: of each use, and half of its slope."""
    length, fast, slow = stack.slow_use, 0.5 * stack.noise, stack.slow_sd * stack.slow_sd * stack.slow_use
    for p in range(len(points.use)):
        far = abs(points.use[p])
        fade = exp(-far / length)
        by = fast + slow * (1.0 - fade)
        points.spread[p] = (
            2.0 * (fast * far + slow * length * (far / length + fade - 1.0)) + (stack.ahead * far) ** 2
        )
        points.by[p] = (by if points.use[p] >= 0.0 else -by) + stack.ahead * stack.ahead * points.use[p]


def passed(stack: Stack, mark: float, points: Points) -> None:
    """See `_guard.passed`: fills the chance at each use, and its slope."""
    worst, slope, before, its_slope = points.chance, points.slope, points.before, points.before_slope
    nodes = len(stack.least)
    for k in range(nodes):
        at_node(stack, k, mark, points)
        for p in range(len(worst)):
            before[p], its_slope[p] = worst[p], slope[p]
            further = points.node[p] > worst[p] if stack.worse > 0.0 else points.node[p] < worst[p]
            if k == 0 or further:
                worst[p], slope[p] = points.node[p], points.node_slope[p]
    if nodes > 1 and stack.share < 1.0:
        share = stack.share
        for p in range(len(worst)):
            a, b = probit(before[p]), probit(worst[p])
            z = (1.0 - share) * a + share * b
            rise = (1.0 - share) * its_slope[p] * exp(0.5 * a * a) + share * slope[p] * exp(0.5 * b * b)
            worst[p], slope[p] = integral(z), rise * exp(-0.5 * z * z)


def at_node(stack: Stack, k: int, mark: float, points: Points) -> None:
    """See `_guard.at_nodes`: fills the chance at node *k* and its slope."""
    mixed(
        stack.weight, stack.rate, stack.wear, stack.var, stack.first[k], stack.first[k + 1], mark,
        points.use, points.spread, points.by, points.node, points.node_slope,
    )  # fmt: skip
    if stack.least[k] > -np.inf and mark <= stack.least[k] + AT_MARK:
        for p in range(len(points.use)):
            if points.use[p] >= 0.0:
                points.node[p], points.node_slope[p] = 1.0, 0.0
