"""The guard: a worse last reading never gives less wear, a smaller chance of being past or more road.

A posterior that allows for slips can't promise that (docs/methods/wear.md). So the last reading is not judged by itself: the
law is worked out as if it had been each of some nodes, from the reading that was expected outwards to the one that came,
and the distribution of wear is the worst of those on the way (the best, where it came out better than expected). Between
two nodes the probit of each chance goes straight. The nodes depend on what was known before only, so the order is exact.

Everything that is told of a part is read from the law that this makes: chance, wear, road and days can't contradict.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._filter import OTHER, Cloud, PartArrays, looked_at, slip_of, told
from pinchbolt.engines.wear._normal import bell, integral, probit, tail_over_bell
from pinchbolt.engines.wear._scale import Array, unevenness

STEP, NEAR, WIDE_STEP, FAR, FURTHER = (
    0.05,
    20,
    0.1,
    60,
    1.25,
)  # between nodes, own scale: fine, wider, ever wider
ANCHOR_LOW, ANCHOR_HIGH, HALVINGS = -1.0, 4.0, 12
LEAST_OF_NODE = 1e-7  # a component of less weight is left out of a node
AT_MARK = 1e-9
LEAST_VAR = 1e-8
NO_FLOOR = -1e3  # own scale: far below any part
MOST_NODES = 160
LIMIT = 1.0  # own scale


class Stack(NamedTuple):
    """The law at each node, the expected reading first; components of node k lie from `first[k]` to `first[k + 1]`.

    `least`: wear that is known to be reached there (-inf: nothing is). `worse`: 1 where the reading came out worse than
    expected. `share` of the way from the node before the last to the last one at which the reading lies.
    """

    weight: Array
    rate: Array
    wear: Array
    var: Array
    first: NDArray[np.int64]
    least: Array
    worse: float
    share: float
    noise: float
    slow_sd: float
    slow_use: float
    ahead: float


def expected_reading(cloud: Cloud, expected: Array, variance: Array) -> float:
    """Median of what the last reading was expected to show."""
    low, high = ANCHOR_LOW, ANCHOR_HIGH
    still, less, at = np.zeros(1), -expected, np.zeros(1)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        at[0] = -middle
        if mixed(cloud.weight, np.zeros(len(less)), less, variance, at, still, still)[0] < 0.5:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def offset(k: int) -> float:
    """How far node *k* lies from the expected reading."""
    if k <= NEAR:
        return STEP * k
    if k <= FAR:
        return STEP * NEAR + WIDE_STEP * (k - NEAR)
    return (STEP * NEAR + WIDE_STEP * (FAR - NEAR)) * FURTHER ** (k - FAR)


def reached(part: PartArrays, low: float) -> float:
    """The mark that a reading of *low* stands at or past, once its instrument's known error is taken off; -inf: none."""
    found = -np.inf
    for mark in part.marks:
        if low - part.known_bias >= mark - AT_MARK:
            found = mark
    return found


def _mark_on_the_way(part: PartArrays, level: float, cur: float, end: float, up: bool) -> float:
    """The first mark between two nodes at which the level changes, as the instrument shows it; -inf: none."""
    jump = -np.inf
    for mark in part.marks:
        c = mark + part.known_bias
        if up and level < mark and cur <= c <= end and (jump == -np.inf or c < jump):
            jump = c
        if not up and level >= mark and end <= c <= cur and (jump == -np.inf or c > jump):
            jump = c
    return jump


def _mark_below(part: PartArrays, jump: float) -> float:
    """The mark that is left once a reading came down past the one that shows at *jump*; -inf: none."""
    lower = -np.inf
    for mark in part.marks:
        if mark + part.known_bias < jump - AT_MARK:
            lower = mark
    return lower


def value_nodes(part: PartArrays, anchor: float, z: float) -> tuple[Array, Array, float]:
    """Nodes from the expected value to the one that came: where, the mark reached there, share of the last step."""
    at, least = np.zeros(MOST_NODES), np.zeros(MOST_NODES)
    n, share = lay_values(part, anchor, z, at, least)
    return at[:n], least[:n], share


def lay_values(part: PartArrays, anchor: float, z: float, at: Array, least: Array) -> tuple[int, float]:
    """Fill *at* and *least* with where the nodes lie and the mark reached there; how many, and the share of the last step.

    No line is drawn across a mark: there the law jumps on purpose, so a node lies on either side of it.
    """
    cur, level, n, k, share = anchor, reached(part, anchor), 1, 1, 1.0
    at[0], least[0] = cur, level
    up = z >= anchor
    while n < MOST_NODES - 2 and ((up and cur < z - AT_MARK) or (not up and cur > z + AT_MARK)):
        end = anchor + offset(k) if up else anchor - offset(k)
        jump = _mark_on_the_way(part, level, cur, end, up)
        if jump == -np.inf:
            k += 1
        else:
            end = jump
        beyond = z < end - AT_MARK if up else z > end + AT_MARK
        width = abs(end - cur)
        if beyond:
            share = abs(z - cur) / width
        if width > 0.0 or n == 1:
            at[n], least[n] = end, level
            n += 1
        if beyond:
            break
        cur = end
        if jump > -np.inf:
            crossed = z >= jump - AT_MARK if up else z < jump - AT_MARK
            if not crossed:
                break
            level = reached(part, jump) if up else _mark_below(part, jump)
            at[n], least[n] = end, level
            n += 1
    return n, share


def interval_nodes(part: PartArrays, anchor: float, low: float) -> tuple[Array, Array, Array]:
    """Outcomes of a go/no-go instrument from the expected one to the one that came: both ends, the mark reached."""
    most = len(part.outcomes) + 1
    lows, highs, least = np.zeros(most), np.zeros(most), np.zeros(most)
    start = 0
    for mark in part.outcomes:
        if mark <= anchor:
            start += 1
    n = lay_outcomes(part, start, low, lows, highs, least)
    return lows[:n], highs[:n], least[:n]


def lay_outcomes(part: PartArrays, start: int, low: float, lows: Array, highs: Array, least: Array) -> int:
    """Fill the last three with the outcomes from the one that lies past *start* marks to the one that came; how many they are."""
    marks, end, last = part.outcomes, 0, len(part.low) - 1
    if len(marks) == 0:
        lows[0], highs[0], least[0] = part.low[last], part.high[last], reached(part, low)
        return 1
    for mark in marks:
        if mark <= low + AT_MARK:
            end += 1
    n = abs(end - start) + 1
    step = 1 if end >= start else -1
    for i in range(n):
        k = start + step * i
        lows[i] = marks[k - 1] if k > 0 else -np.inf
        highs[i] = marks[k] if k < len(marks) else np.inf
        least[i] = reached(part, lows[i])
    return n


def stack_of(part: PartArrays, cloud: Cloud, slipped: Array, anchor: float, least_weight: float) -> Stack:
    """The law as of now at every node between the expected last reading and the one that came."""
    last = len(part.low) - 1
    if last < 0:
        size = len(cloud.weight)
        first = np.zeros(2, np.int64)
        first[1] = size
        return Stack(
            cloud.weight / cloud.weight.sum(), cloud.rate, cloud.mean[0], np.maximum(cloud.cov[0, 0], LEAST_VAR), first,
            np.full(1, -np.inf), 1.0, 1.0, part.noise, part.slow_sd, part.slow_use, part.ahead,
        )  # fmt: skip
    low, high = part.low[last], part.high[last]
    if low == high:
        lows, least, share = value_nodes(part, anchor, low)
        highs = lows
        worse = 1.0 if low >= anchor else -1.0
    else:
        lows, highs, least = interval_nodes(part, anchor, low)
        share = 1.0
        worse = 1.0 if len(lows) > 1 and lows[1] > lows[0] else -1.0
    expected, variance, seen = looked_at(part, cloud, last)
    slip, flat = slip_of(part, last, len(cloud.weight), slipped)
    if len(part.marks) > 0:
        # The last reading of a safety part is never put down to a slip.
        slip = np.zeros(len(cloud.weight))
    spread = (
        unevenness(part.use[last + 1 : last + 2], part.noise, part.slow_sd, part.slow_use)[0]
        + part.use_var[last + 1]
    )
    total, slope, drop, _, _ = told(expected, variance, lows[:, None], highs[:, None], slip, flat)
    weight = _shares(cloud.weight * total)
    wear = cloud.mean[0] + seen[0] * slope
    var = np.maximum(cloud.cov[0, 0] - seen[0] * seen[0] * drop, LEAST_VAR)
    # No part is younger than new: of one whose distance is not known a mark that it is below says no more than that.
    open_below = (lows < highs) & (lows == -np.inf)
    cut = np.flatnonzero(open_below | (least > -np.inf))
    if len(cut):
        new = np.where(cloud.story == OTHER, 0.0, NO_FLOOR)
        floor = np.where(open_below[cut, None], new, least[cut, None])
        some, wear[cut], var[cut] = above(weight[cut], wear[cut], var[cut], floor)
        weight[cut] = _shares(some)
    keep = weight > least_weight
    first = np.concatenate([[0], np.cumsum(keep.sum(axis=1))])
    some, rate = weight[keep], np.broadcast_to(cloud.rate, weight.shape)[keep]
    return Stack(
        some / np.repeat(np.add.reduceat(some, first[:-1]), np.diff(first)), rate,
        wear[keep] + rate * part.use[last + 1], var[keep] + rate * rate * spread, first, least, worse, share,
        part.noise, part.slow_sd, part.slow_use, part.ahead,
    )  # fmt: skip


def _shares(weight: Array) -> Array:
    """Weights of each row as shares of their sum."""
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def above(weight: Array, wear: Array, var: Array, mark: Array) -> tuple[Array, Array, Array]:
    """The mixture, given that wear is at or past *mark* (one a component): every component becomes the cut-off normal, by its moments."""
    root = np.sqrt(var)
    a = np.minimum((mark - wear) / root, 30.0)
    size = np.abs(a)
    chance = np.maximum(integral(-a), 1e-290)
    hazard = np.where(a > 0.0, 1.0 / tail_over_bell(size), bell(size) / chance)
    moved = np.maximum(wear + root * hazard, mark)
    return weight * chance, moved, np.maximum(var * (1.0 + a * hazard - hazard * hazard), LEAST_VAR)


def mixed(
    weight: Array, rate: Array, wear: Array, var: Array, mark: Array, use: Array, spread: Array
) -> Array:
    """Sum over the components of w Phi((m + r x - h) / sqrt(V + r^2 q)), one a point."""
    return np.asarray(passed_each(weight, rate, wear, var, mark, use, spread).sum(axis=1))


def passed_each(
    weight: Array, rate: Array, wear: Array, var: Array, mark: Array, use: Array, spread: Array
) -> Array:
    """w Phi((m + r x - h) / sqrt(V + r^2 q)) of each component (points x components)."""
    gap = wear + rate * use.reshape(len(use), 1) - mark.reshape(len(use), 1)
    root = np.sqrt(var + rate * rate * spread.reshape(len(use), 1))
    return np.asarray(integral(gap / root) * weight)


def passed(stack: Stack, mark: Array, use: Array) -> Array:
    """Chance that wear is at or past *mark* after a further *use* (both one a point; use below 0: that far back).

    At a node P = sum_k w_k Phi((m_k + r_k x - h) / sqrt(V_k + r_k^2 q(x))); then the worst of the nodes on the way.
    """
    return on_the_way(at_nodes(stack, mark, use), stack.worse, stack.share)


def at_nodes(stack: Stack, mark: Array, use: Array) -> Array:
    """The chance at each node (nodes x points), as if its reading were the one that came."""
    spread = unevenness(use, stack.noise, stack.slow_sd, stack.slow_use) + (stack.ahead * use) ** 2
    # All nodes in one sweep: a reading far from what was expected has a hundred of them.
    each = passed_each(stack.weight, stack.rate, stack.wear, stack.var, mark, use, spread)
    chances = np.add.reduceat(each, stack.first[:-1], axis=1).T
    reached_there = mark <= stack.least.reshape(len(stack.least), 1) + AT_MARK
    return np.where((use >= 0.0) & reached_there, 1.0, chances)


def on_the_way(chances: Array, worse: float, share: float) -> Array:
    """The worst of the nodes from the expected one on (the best, where the reading came out better); between the last two
    the probit goes straight."""
    nodes, points = chances.shape
    outermost = np.maximum if worse > 0.0 else np.minimum
    worst: Array = outermost.reduce(chances, axis=0)
    if nodes > 1 and share < 1.0:
        both = probit(np.concatenate((outermost.reduce(chances[:-1], axis=0), worst)))
        between: Array = integral((1.0 - share) * both[:points] + share * both[points:])
        return between
    return worst
