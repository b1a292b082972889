"""The guard (`_guard`) as loops, for many parts: the law at each node, and the chance at some uses with its slopes."""

from math import ceil, exp, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._filter import OTHER, PartArrays
from pinchbolt.engines.wear._guard import (
    ANCHOR_HIGH,
    ANCHOR_LOW,
    AT_MARK,
    HALVINGS,
    LEAST_OF_NODE,
    LEAST_VAR,
    LIMIT,
    MOST_NODES,
    lay_outcomes,
    lay_values,
)
from pinchbolt.engines.wear._loops import (
    OUT,
    bell_and_tail,
    falling,
    integral,
    mixed,
    passed_now,
    probit,
    probits_and_bells,
    product_of,
    shown_below,
    tail_over_bell,
    whole_of,
)
from pinchbolt.engines.wear._loops_filter import LANES, CloudRoom, full, set_slip, spread_of, tell
from pinchbolt.engines.wear._normal import ROOT_2PI
from pinchbolt.engines.wear._scale import Array

ANCHOR_STEPS, ANCHOR_STEP = 40, 1e-6
CELLS = 2**HALVINGS
CELL = (ANCHOR_HIGH - ANCHOR_LOW) / CELLS
WORSE, SHARE, NOISE, SLOW_SD, SLOW_USE, AHEAD, NOW = range(7)
# Probits: a node that lies further from the worst than NEAR wherever the law is laid down is not it in between, where points lie no
# more than APART; levels lie no further out than MOST_TOLD.
NEAR, APART, MOST_TOLD = 0.03, 1.2, 2.5


class StackRoom(NamedTuple):
    """`Stack`, in arrays that are long enough for any part: `nodes` says how many nodes there are, `figures` what is one number there,
    and the probit of the chance of being past the limit now. That is told by all that weighs anything, as for one part; what is kept
    for roads may be less.

    Nothing in here is made or given back while parts are gone through: see `_compiled` on counting who needs an array."""

    weight: Array
    rate: Array
    wear: Array
    var: Array
    first: NDArray[np.int64]
    low: Array
    high: Array
    least: Array
    nodes: NDArray[np.int64]
    figures: Array
    laid: Array  # nodes x uses: the chance at each where the law was laid down
    begun: NDArray[np.int64]  # the first node that may be the worst of all


class Points(NamedTuple):
    """Some uses: variance of growth over each and half its slope; the probit of the chance there and its slope, as told; chance
    and slope so far, at one node, and at the nodes before the last with its probit."""

    use: Array
    spread: Array
    by: Array
    z: Array
    rise: Array
    chance: Array
    slope: Array
    node: Array
    node_slope: Array
    before: Array
    before_slope: Array
    bell: Array  # e^(-z^2 / 2)
    before_z: Array
    before_bell: Array


def stack_room(components: int, laws: int = 1) -> StackRoom:
    """Room for the law (or some of them) at every node of any part of so many components."""
    nodes = MOST_NODES * laws
    n = nodes * (components + LANES)
    return StackRoom(
        np.empty(n), np.empty(n), np.empty(n), np.empty(n), np.zeros(nodes + 1, np.int64), np.zeros(nodes),
        np.zeros(nodes), np.zeros(nodes), np.zeros(1, np.int64), np.zeros(7), np.zeros((nodes, LANES)), np.zeros(1, np.int64),
    )  # fmt: skip


def expected_reading(room: CloudRoom, start: int, stop: int) -> float:
    """See `_guard.expected_reading`: the same cell of the same halvings, found by Newton steps."""
    low, high = ANCHOR_LOW, ANCHOR_HIGH
    whole = whole_of(room.weight, start, stop)
    at = min(max(product_of(room.weight, room.expected, start, stop) / whole, low), high)
    for _ in range(ANCHOR_STEPS):
        below, density = shown_below(room.weight, room.expected, room.variance, start, full(start, stop), at)
        below, density = below / whole, density / whole
        if below < 0.5:
            low = at
        else:
            high = at
        to = at + (0.5 - below) / max(density, 1e-12)
        if not low < to < high:
            to = 0.5 * (low + high)
        step, at = abs(to - at), to
        if step < ANCHOR_STEP:
            # The next step would be about the square of this one.
            break
    cell = min(max(int((at - ANCHOR_LOW) / CELL), 0), CELLS - 1)
    return float(ANCHOR_LOW + CELL * (cell + 0.5))


def marks_expected(part: PartArrays, room: CloudRoom, start: int, stop: int) -> int:
    """How many marks of its instrument the reading was expected to be past: those that `expected_reading` is not below.

    That stands in the middle of a cell, so it is asked whether the median lies past the edge from which on that is past the mark.
    """
    found, whole = 0, whole_of(room.weight, start, stop)
    for mark in part.outcomes:
        edge = ceil((mark - ANCHOR_LOW) / CELL - 0.5)
        if edge >= CELLS:
            break
        if edge > 0:
            below, _ = shown_below(
                room.weight, room.expected, room.variance, start, full(start, stop), ANCHOR_LOW + CELL * edge
            )
            if below > 0.5 * whole:
                break
        found += 1
    return found


def lay_stack(
    part: PartArrays, room: CloudRoom, stack: StackRoom, start: int, stop: int, least_weight: float
) -> None:
    """See `_guard.stack_of`: of the components from *start* to *stop*, whose look and slip are in *room*. Fills *stack*."""
    last, share = len(part.low) - 1, 1.0
    if last < 0:
        _unread(part, room, stack, start, stop)
        return
    low, high = part.low[last], part.high[last]
    if low == high:
        anchor = expected_reading(room, start, stop)
        n, share = lay_values(part, anchor, low, stack.low, stack.least)
        for i in range(n):
            stack.high[i] = stack.low[i]
        worse = 1.0 if low >= anchor else -1.0
    else:
        n = lay_outcomes(
            part, marks_expected(part, room, start, stop), low, stack.low, stack.high, stack.least
        )
        worse = 1.0 if n > 1 and stack.low[1] > stack.low[0] else -1.0
    stack.nodes[0], stack.begun[0] = n, 0
    _set_figures(part, stack, worse, share)
    _at_nodes(part, room, stack, start, stop, least_weight)


def _set_figures(part: PartArrays, stack: StackRoom, worse: float, share: float) -> None:
    stack.figures[WORSE], stack.figures[SHARE] = worse, share
    stack.figures[NOISE], stack.figures[SLOW_SD], stack.figures[SLOW_USE] = (
        part.noise,
        part.slow_sd,
        part.slow_use,
    )
    stack.figures[AHEAD] = part.ahead


def _at_nodes(
    part: PartArrays, room: CloudRoom, stack: StackRoom, start: int, stop: int, least_weight: float
) -> None:
    """The law as of now at every node that is laid."""
    last, fill, before, worst = len(part.low) - 1, 0, 0.0, 0.0
    use = part.use[last + 1]
    spread = spread_of(part, use) + part.use_var[last + 1]
    flat = set_slip(part, room, stop, last, True)
    if len(part.marks) > 0:
        # The last reading of a safety part is never put down to a slip.
        for k in range(stop):
            room.slip[k] = 0.0
    stack.first[0] = 0
    for i in range(stack.nodes[0]):
        tell(room, start, stop, stack.low[i], stack.high[i], flat)
        total = _at_node(part, room, start, stop, stack.low[i], stack.high[i], stack.least[i])
        whole, past = passed_now(
            room.total,
            room.rate,
            room.first,
            room.drop,
            start,
            stop,
            LEAST_OF_NODE * total,
            use,
            spread,
            LIMIT,
        )
        now = past / whole
        if stack.least[i] > -np.inf and stack.least[i] + AT_MARK >= LIMIT:
            now = 1.0
        before = worst
        worst = now if i == 0 else (max(worst, now) if stack.figures[WORSE] > 0.0 else min(worst, now))
        fill = put_down(
            room.total, room.rate, room.first, room.drop, start, stop, least_weight * total, use, spread,
            stack.weight, stack.rate, stack.wear, stack.var, fill,
        )  # fmt: skip
        stack.first[i + 1] = fill
    stack.figures[NOW], share = probit(worst), stack.figures[SHARE]
    if stack.nodes[0] > 1 and share < 1.0:
        stack.figures[NOW] = (1.0 - share) * probit(before) + share * probit(worst)


def put_down(
    total: Array, rate: Array, wear: Array, var: Array, start: int, stop: int, least: float, use: float, spread: float,
    to_weight: Array, to_rate: Array, to_wear: Array, to_var: Array, begun: int,
) -> int:  # fmt: skip
    """Put what weighs more than *least* down from *begun* on, after a further *use*; where that ends. Weights sum to 1 there.

    All is written and what does not count is written over: no jump inside."""
    fill = begun
    for k in range(start, stop):
        to_weight[fill], to_rate[fill], to_wear[fill], to_var[fill] = (
            total[k],
            rate[k],
            wear[k] + rate[k] * use,
            var[k] + rate[k] * rate[k] * spread,
        )
        fill += 1 if total[k] > least else 0
    kept = whole_of(to_weight, begun, fill)
    for k in range(begun, fill):
        to_weight[k] /= kept
    return fill


def _unread(part: PartArrays, room: CloudRoom, stack: StackRoom, start: int, stop: int) -> None:
    """Of a part that nobody has read: what is believed."""
    for k in range(start, stop):
        room.first[k], room.drop[k] = room.mean[0, k], max(room.cov[0, k], LEAST_VAR)
    stack.nodes[0], stack.begun[0], stack.first[0], stack.least[0] = 1, 0, 0, -np.inf
    stack.first[1] = put_down(
        room.weight, room.rate, room.first, room.drop, start, stop, -1.0, 0.0, 0.0,
        stack.weight, stack.rate, stack.wear, stack.var, 0,
    )  # fmt: skip
    _set_figures(part, stack, 1.0, 1.0)
    whole, past = passed_now(
        stack.weight, stack.rate, stack.wear, stack.var, 0, stack.first[1], 0.0, 0.0, 0.0, LIMIT
    )
    stack.figures[NOW] = probit(past / whole)


def _at_node(
    part: PartArrays, room: CloudRoom, start: int, stop: int, low: float, high: float, least: float
) -> float:
    """See `_guard.at_node` and `above`: puts weight, wear and its variance where what the reading told was; sum of weights."""
    for k in range(stop, full(start, stop)):
        room.total[k], room.first[k], room.drop[k] = 0.0, 0.0, 1.0
    move_wear(
        room.weight, room.mean[0], room.cov[0], room.seen[0], start, stop, room.total, room.first, room.drop
    )
    if low < high and low == -np.inf:
        # No part is younger than new: of one whose distance is not known a mark that it is below says no more than that.
        other = start
        while other < stop and room.story[other] != OTHER:
            other += 1
        cut_off_at_new(room.total, room.first, room.drop, other, stop)
    elif least > -np.inf:
        for k in range(start, stop):
            _cut_off_below(room, k, least)
    return whole_of(room.total, start, stop)


def move_wear(
    weight: Array, mean: Array, var: Array, seen: Array, start: int, stop: int, total: Array, first: Array, drop: Array
) -> None:  # fmt: skip
    """Put weight, wear and its variance where factor, slope and drop were."""
    for k in range(start, stop):
        left = var[k] - seen[k] * seen[k] * drop[k]
        total[k] *= weight[k]
        first[k] = mean[k] + seen[k] * first[k]
        drop[k] = LEAST_VAR if left < LEAST_VAR else left


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
        np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n),
        np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n),
    )  # fmt: skip


def set_spread(stack: StackRoom, points: Points) -> None:
    """See `_scale.unevenness`, and the rate ahead: of each use, and half of its slope."""
    length, fast, ahead = stack.figures[SLOW_USE], 0.5 * stack.figures[NOISE], stack.figures[AHEAD]
    slow = stack.figures[SLOW_SD] * stack.figures[SLOW_SD] * length
    spread_over(points.use, length, fast, slow, ahead, points.spread, points.by)


def spread_over(
    use: Array, length: float, fast: float, slow: float, ahead: float, spread: Array, by: Array
) -> None:
    """Fill the last two, see `set_spread`: eight uses side by side."""
    for p in range(len(use)):
        far = abs(use[p])
        ratio = far / length
        # Beyond OUT^2 / 2 nothing is left of it.
        fade = falling(0.5 * OUT * OUT if ratio > 0.5 * OUT * OUT else ratio)
        rise = fast + slow * (1.0 - fade)
        spread[p] = 2.0 * (fast * far + slow * length * (ratio + fade - 1.0)) + (ahead * far) ** 2
        by[p] = (rise if use[p] >= 0.0 else -rise) + ahead * ahead * use[p]


def passed(stack: StackRoom, mark: float, points: Points) -> None:
    """See `_guard.passed`: fills the probit of the chance at each use, and its slope."""
    passed_between(
        stack, stack.begun[0], stack.nodes[0], stack.figures[WORSE], stack.figures[SHARE], mark, points
    )


def pass_over(stack: StackRoom, points: Points) -> None:
    """Leave out the first nodes that are nowhere near the worst at *points*, where the law was laid down: not between those either.

    The last two stay: between them the probit goes straight. And all do where two points lie too far apart to tell of those between."""
    worse, k, far = stack.figures[WORSE], 0, True
    for p in range(LANES - 1):
        here, there = points.z[p], points.z[p + 1]
        far = far and (there - here <= APART or there < -MOST_TOLD or here > MOST_TOLD)
    while far and k < stack.nodes[0] - 2:
        for p in range(LANES):
            gap = worse * (points.before[p] - stack.laid[k, p])
            far = far and gap * ROOT_2PI > NEAR * points.bell[p]
        k += 1 if far else 0
    stack.begun[0] = k


def passed_between(
    stack: StackRoom, begun: int, end: int, worse: float, share: float, mark: float, points: Points
) -> None:
    """The same by the nodes from *begun* to *end*."""
    worst, slope, before, its_slope = points.chance, points.slope, points.before, points.before_slope
    for k in range(begun, end):
        at_node(stack, k, mark, points)
        for p in range(LANES):
            stack.laid[k, p] = points.node[p]
        for p in range(len(worst)):
            before[p], its_slope[p] = worst[p], slope[p]
            further = points.node[p] > worst[p] if worse > 0.0 else points.node[p] < worst[p]
            if k == begun or further:
                worst[p], slope[p] = points.node[p], points.node_slope[p]
    probits_and_bells(worst, points.z, points.bell)
    for p in range(len(worst)):
        points.rise[p] = slope[p] * ROOT_2PI / points.bell[p]
    if end - begun > 1 and share < 1.0:
        # Between the last two nodes it is the probit that goes straight.
        probits_and_bells(before, points.before_z, points.before_bell)
        for p in range(len(worst)):
            rise = its_slope[p] * ROOT_2PI / points.before_bell[p]
            points.z[p] = (1.0 - share) * points.before_z[p] + share * points.z[p]
            points.rise[p] = (1.0 - share) * rise + share * points.rise[p]


def at_node(stack: StackRoom, k: int, mark: float, points: Points) -> None:
    """See `_guard.at_nodes`: fills the chance at node *k* and its slope."""
    mixed(
        stack.weight, stack.rate, stack.wear, stack.var, stack.first[k], stack.first[k + 1], mark,
        points.use, points.spread, points.by, points.node, points.node_slope,
    )  # fmt: skip
    if stack.least[k] > -np.inf and mark <= stack.least[k] + AT_MARK:
        for p in range(len(points.use)):
            if points.use[p] >= 0.0:
                points.node[p], points.node_slope[p] = 1.0, 0.0
