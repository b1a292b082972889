"""The questions asked of many parts, as loops: `foretell` and `weigh` of `_batch`, in the form that is compiled."""

from math import exp, log, sqrt
from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._along import pace_of, usual_pace
from pinchbolt.engines.wear._batch import MOST_LOG_ODDS, Batch, part_at
from pinchbolt.engines.wear._filter import LEAST_LEARNED, LEAST_WEIGHT, NEW, OTHER, PartArrays
from pinchbolt.engines.wear._guard import LIMIT
from pinchbolt.engines.wear._hunt import (
    FAR_PACE,
    FURTHEST,
    MOST_STEPS,
)
from pinchbolt.engines.wear._loops import integral, probit, product_of, whole_of
from pinchbolt.engines.wear._loops_along import (
    ANY,
    FLOOR,
    FLOOR_RISE,
    AlongRoom,
    along_room,
    keep_floor,
    lay_along,
    lead,
    led_now,
    near_median,
)
from pinchbolt.engines.wear._loops_filter import (
    CloudRoom,
    Rates,
    look_at,
    rates_for,
    room_for,
    set_slip,
    spread_of,
    take,
    tell,
    until_last,
)
from pinchbolt.engines.wear._loops_guard import (
    NOISE,
    NOW,
    SLOW_SD,
    SLOW_USE,
    Points,
    StackRoom,
    lay_stack,
    pass_over,
    passed,
    points_for,
    set_spread,
    stack_room,
)
from pinchbolt.engines.wear._scale import Array

POINTS = 8  # of use at which a law is laid down first
# Where, in sds from the mean of the share of road; no further out than this; so far apart at least, in half lives.
LAID_AT = (-2.4, -1.7, -1.1, -0.5, 0.1, 0.75, 1.5, 2.4)
LAID_MOST, NUDGE = 0.97, 1e-3
SOON = 0.1  # lives: where no point lies sooner, none needs to be today
OUTSIDE = 0.5  # lives from the last point, where a level lies beyond
PATIENCE = 3  # turns after which a bracket that does not halve is halved: the law jumps there, or bends
# Times the precision: where a tangent and a cubic meet as closely, the cubic lies well inside it. Not after a long step, its square in
# precisions: where another node becomes the worst in between they meet by chance.
NEARLY, STRIDE = 5.0, 4.0


class LevelHunt(NamedTuple):
    """Where quantiles are looked for: the law and that of an unknown distance, the law at some points of use, the point where each
    level is looked for next, its bracket, and whether it is found. `pace` and `scale` as in `_hunt.Law`, one number each."""

    stack: StackRoom
    floor: StackRoom
    laid: Points
    laid_unknown: Points
    at: Points
    at_unknown: Points
    along: AlongRoom
    low: Array  # use, probit there and its slope, a level
    high: Array
    found: Array
    pace: Array
    scale: Array


def hunt_for(levels: int, components: int) -> LevelHunt:
    """CloudRoom to look for so many levels."""
    at = points_for(levels)
    n = len(at.use)
    return LevelHunt(
        stack_room(components), stack_room(components), points_for(POINTS), points_for(POINTS), at, points_for(levels),
        along_room(components, max(n, POINTS)), np.zeros((3, n)), np.zeros((3, n)), np.zeros(n), np.zeros(1), np.ones(1),
    )  # fmt: skip


def foretell(
    batch: Batch, start: int, stop: int, nodes: int, levels: Array, least_weight: float, precision: float,
    quantiles: Array, figures: Array,
) -> None:  # fmt: skip
    """See `_batch.foretell`."""
    room, rates = room_for(nodes, batch.bias.shape[1]), rates_for(nodes)
    hunt, aims = hunt_for(len(levels), len(room.weight)), np.zeros(len(levels))
    for i in range(len(levels)):
        aims[i] = probit(levels[i])
    for i in range(start, stop):
        part = part_at(batch, i)
        n, _ = until_last(part, room, rates, LEAST_WEIGHT)
        if len(part.low) > 0:
            look_at(part, room, n, len(part.low) - 1)
        lay_law(part, room, n, least_weight, hunt)
        use_at(LIMIT, aims, hunt, precision, quantiles[i])
        figures[i, 0] = chance_now(hunt)
        figures[i, 1], figures[i, 2], figures[i, 3] = last_reading(part, room, rates, n)


def weigh(
    batch: Batch, start: int, stop: int, nodes: int, evidence: Array, by_rate: Array, by_bias: Array
) -> None:
    """See `_batch.weigh`."""
    room, rates = room_for(nodes, batch.bias.shape[1]), rates_for(nodes)
    for i in range(start, stop):
        part = part_at(batch, i)
        n, found = until_last(part, room, rates, LEAST_LEARNED)
        last = len(part.low) - 1
        if last >= 0:
            n, more = take(part, room, n, last, LEAST_LEARNED)
            found += more
        evidence[i], slope = found, 0.0
        for k in range(n):
            slope += room.weight[k] * rates.slope[room.node[k]]
        by_rate[i] = slope
        for b in range(part.bias.shape[0]):
            moved = 0.0
            for k in range(n):
                moved += room.weight[k] * (room.mean[1 + b, k] - part.bias[b, 0, 1])
            by_bias[i, b] = moved / part.bias[b, 0, 2] ** 2


def last_reading(part: PartArrays, room: CloudRoom, rates: Rates, n: int) -> tuple[float, float, float]:
    """Log odds for the part on record, share of belief in the other kind, chance that the last reading was a slip; of the look
    that is in *room*, which is not there afterwards."""
    last, odds, hub, slip = len(part.low) - 1, np.nan, 0.0, 0.0
    if last < 0:
        for k in range(n):
            hub += room.weight[k] * rates.hub[room.node[k]]
        return odds, hub, slip
    flat = set_slip(part, room, n, last, True)
    top = tell(room, 0, n, part.low[last], part.high[last], flat)
    for k in range(n):
        room.total[k] *= room.weight[k]
        room.first[k] = rates.hub[room.node[k]]
    total = whole_of(room.total, 0, n)
    hub, slip = product_of(room.total, room.first, 0, n), product_of(room.total, room.after, 0, n)
    if last > 0:
        odds = log(total) + top - on_a_new_part(part, room, rates, n)
        odds = min(max(odds, -MOST_LOG_ODDS), MOST_LOG_ODDS)
    return odds, hub / total, slip / total


def on_a_new_part(part: PartArrays, room: CloudRoom, rates: Rates, n: int) -> float:
    """Log evidence of the last reading if a new part was fitted before it: see `_filter.on_another_part`."""
    last, biases = len(part.low) - 1, part.bias.shape[0]
    x = part.use[last]
    spread = x * x / 12.0 + spread_of(part, x / 2) + part.use_var[last] / 4
    at = part.start[NEW, 1] - part.run_in * part.bedded_new
    var = part.start[NEW, 2] ** 2 + part.sd[last] ** 2
    for k in range(n):
        rate = room.rate[k]
        room.expected[k] = at + rate * x / 2
        room.variance[k] = var + rate * rate * spread
    for b in range(biases):
        by = part.look[last, b]
        for c in range(b + 1):
            both = by * part.look[last, c] * (1.0 if b == c else 2.0)
            if both != 0.0:
                pair = (b + 1) * (b + 2) // 2 + c + 1
                for k in range(n):
                    room.variance[k] += both * room.cov[pair, k]
        if by != 0.0:
            for k in range(n):
                room.expected[k] += by * room.mean[1 + b, k]
    flat = set_slip(part, room, n, last, False)
    top = tell(room, 0, n, part.low[last], part.high[last], flat)
    return log(_blurred(room, rates, n)) + top


def _blurred(room: CloudRoom, rates: Rates, n: int) -> float:
    """Sum of what the reading told over the components, their rates blurred within each row (`_filter.blurred`).

    Of each row what was told stands at its nodes, and a 1 where there is one, so that the sums run straight."""
    nodes, total, start = len(rates.rate), 0.0, 0
    while start < n:
        end = start
        for m in range(nodes):
            rates.told[m], rates.there[m] = 0.0, 0.0
        while end < n and room.row[end] == room.row[start]:
            rates.told[room.node[end]], rates.there[room.node[end]] = room.total[end], 1.0
            end += 1
        for k in range(start, end):
            whole, told, node = 0.0, 0.0, room.node[k]
            for m in range(nodes):
                whole += rates.near[node, m] * rates.there[m]
                told += rates.near[node, m] * rates.told[m]
            total += room.weight[k] * told / whole
        start = end
    return total


def lay_law(part: PartArrays, room: CloudRoom, n: int, least_weight: float, hunt: LevelHunt) -> None:
    """See `_hunt.law_of`: by the belief just before the last reading, whose look is in *room*."""
    pace = usual_pace(part)
    lay_stack(part, room, hunt.stack, 0, n, least_weight)
    if pace >= 1.0 or pace_of(part) > 0.0:
        lay_stack(part, room, hunt.floor, first_other(room, n), n, least_weight)
    lay_along(part, room, n, least_weight, hunt.along, hunt.floor.figures[NOW])
    hunt.pace[0], hunt.scale[0] = pace, exp(-part.mu)


def first_other(room: CloudRoom, n: int) -> int:
    """The first component of the story that it is another part: those lie last."""
    k = 0
    while room.story[k] != OTHER:
        k += 1
    return k


def chance_of(hunt: LevelHunt, mark: float, points: Points, unknown: Points) -> None:
    """See `_hunt.chance_of`: fills the probit of the chance at each use, and its slope; *unknown*: room for as many."""
    set_spread(hunt.stack, points)
    passed(hunt.stack, mark, points)
    leads = hunt.along.of[ANY] > 0.0 and near_median(
        hunt.along, led_now(hunt.along, hunt.stack.figures[NOW]), points
    )
    if hunt.pace[0] < 1.0 and not leads:
        return
    for p in range(len(points.use)):
        unknown.use[p], unknown.spread[p], unknown.by[p] = points.use[p], points.spread[p], points.by[p]
    passed(hunt.floor, mark, unknown)
    keep_floor(hunt.along, unknown)
    if leads:
        lead(hunt.along, mark, points, unknown)
    if hunt.pace[0] < 1.0:
        return
    for p in range(len(points.use)):
        z = hunt.along.held[FLOOR, p]
        if z < points.z[p] and (hunt.pace[0] >= FAR_PACE or z < 0.0):
            points.z[p], points.rise[p] = z, hunt.along.held[FLOOR_RISE, p]


def chance_now(hunt: LevelHunt) -> float:
    """The chance of being past the limit as of now, to what one part is told."""
    z, unknown = led_now(hunt.along, hunt.stack.figures[NOW]), hunt.floor.figures[NOW]
    if hunt.pace[0] >= 1.0 and unknown < z and (hunt.pace[0] >= FAR_PACE or unknown < 0.0):
        z = unknown
    # Past 8 deviations a chance is 0 or 1.
    return 1.0 if z > 8.0 else integral(z)


def use_at(mark: float, aims: Array, hunt: LevelHunt, precision: float, found: Array) -> None:
    """See `_hunt.use_at`; *aims*: probits of the levels, ascending. Fills *found*.

    All levels go side by side: steps on the probit inside brackets that only shrink.
    """
    at = hunt.at
    _begin(mark, aims, hunt)
    left = len(aims)
    for i in range(left):
        hunt.found[i] = 0.0
    for turn in range(MOST_STEPS):
        chance_of(hunt, mark, at, hunt.at_unknown)
        for i in range(len(aims)):
            if hunt.found[i] == 0.0 and _step(aims[i], hunt, i, precision, hunt.scale[0], turn):
                hunt.found[i] = 1.0
                left -= 1
        if left == 0:
            break
    for i in range(len(aims)):
        found[i] = at.use[i]


def _begin(mark: float, aims: Array, hunt: LevelHunt) -> None:
    """Lay the law down at some points; put each level's bracket between two of them, and the point where it is looked for first."""
    laid, k, today = hunt.laid, 0, lay_points(mark, hunt)
    chance_of(hunt, mark, laid, hunt.laid_unknown)
    # Between the first and the last point that was laid; beyond them any node may be the worst.
    if laid.z[0] < aims[0] and laid.z[POINTS - 1] >= aims[len(aims) - 1]:
        pass_over(hunt.stack, laid)
        # Where the median was led others were laid there last.
        if hunt.pace[0] >= 1.0 and hunt.along.of[ANY] == 0.0:
            pass_over(hunt.floor, hunt.laid_unknown)
    for i in range(len(hunt.at.use)):
        aim = aims[min(i, len(aims) - 1)]
        if k < today and laid.z[today] < aim:
            k = today
        while k < POINTS and laid.z[k] < aim:
            k += 1
        _set_end(hunt.low, i, *_end(laid, k - 1, -FURTHEST * hunt.scale[0]))
        _set_end(hunt.high, i, *_end(laid, k, FURTHEST * hunt.scale[0]))
        hunt.at.use[i] = _between(hunt, i, aim) if 0 < k < POINTS else _beyond(hunt, k)


def lay_points(mark: float, hunt: LevelHunt) -> int:
    """Put the points at which the law is laid down first about where its levels lie, by the mixture of the last node; which is today.

    Of share = road / (road + half a life), which is between -1 and 1 for any road, mean and variance are near enough.
    """
    stack, half = hunt.stack, 0.5 * hunt.scale[0]
    last = stack.nodes[0] - 1
    mean, sd = _share_of_road(
        stack.weight, stack.rate, stack.wear, stack.var, stack.first[last], stack.first[last + 1], mark, half,
        stack.figures[NOISE], stack.figures[SLOW_SD] ** 2, stack.figures[SLOW_USE],
    )  # fmt: skip
    for p in range(POINTS):
        share = min(max(mean + LAID_AT[p] * sd, -LAID_MOST), LAID_MOST)
        hunt.laid.use[p] = half * share / (1.0 - abs(share)) + NUDGE * p * half
    today = 0
    for p in range(1, POINTS):
        if abs(hunt.laid.use[p]) < abs(hunt.laid.use[today]):
            today = p
    if abs(hunt.laid.use[today]) < SOON * hunt.scale[0] or hunt.laid.use[0] < 0.0 < hunt.laid.use[POINTS - 1]:
        hunt.laid.use[today] = 0.0
    return today


def _beyond(hunt: LevelHunt, k: int) -> float:
    """Where a level is looked for first that lies beyond the points that were laid."""
    if k == 0:
        return float(hunt.laid.use[0] - OUTSIDE * hunt.scale[0])
    return float(hunt.laid.use[POINTS - 1] + OUTSIDE * hunt.scale[0])


def _share_of_road(
    weight: Array, rate: Array, wear: Array, var: Array, start: int, stop: int, mark: float, half: float,
    noise: float, slow: float, slow_use: float,
) -> tuple[float, float]:  # fmt: skip
    """Mean and sd of the share of the components from *start* to *stop*."""
    mean, square = 0.0, 0.0
    for k in range(start, stop):
        use = (mark - wear[k]) / rate[k]
        far = abs(use)
        by = 1.0 / (far + half)
        spread = (
            var[k] / (rate[k] * rate[k])
            + noise * far
            + 2.0 * slow * slow_use * far * far / (far + 2.0 * slow_use)
        )
        slope = half * by * by
        mean += weight[k] * use * by
        square += weight[k] * (use * by * use * by + slope * slope * spread)
    return mean, sqrt(max(square - mean * mean, 1e-6))


def _end(laid: Points, k: int, furthest: float) -> tuple[float, float, float]:
    """One end of a bracket: use, probit and its slope at point *k*; nan for the last two beyond the points."""
    if 0 <= k < len(laid.use):
        return laid.use[k], laid.z[k], laid.rise[k]
    return furthest, np.nan, np.nan


def _set_end(end: Array, i: int, use: float, z: float, slope: float) -> None:
    end[0, i], end[1, i], end[2, i] = use, z, slope


def _step(aim: float, hunt: LevelHunt, i: int, precision: float, scale: float, turn: int) -> bool:
    """Shrink the bracket of level *i* and go on; whether it is found."""
    low, high = hunt.low, hunt.high
    at, z, slope, wide = hunt.at.use[i], hunt.at.z[i], hunt.at.rise[i], high[0, i] - low[0, i]
    off, tolerance = z - aim, precision * scale
    _set_end(low if off < 0.0 else high, i, at, z, slope)
    left = high[0, i] - low[0, i]
    if left <= tolerance or abs(off) <= precision:
        return True
    newton, to = at - off / max(slope, 1e-300), _between(hunt, i, aim)
    # Where the median is held it may jump by next to nothing, which a tangent does not tell.
    held = aim == 0.0 and hunt.along.of[ANY] > 0.0
    good = low[0, i] < newton < high[0, i]
    if turn >= PATIENCE and left > 0.5 * wide:
        to = 0.5 * (low[0, i] + high[0, i])
    elif np.isnan(to):
        to = newton if good else 0.5 * (low[0, i] + high[0, i])
    elif (
        good
        and not held
        and abs(newton - to) <= NEARLY * tolerance
        and (newton - at) ** 2 <= STRIDE * tolerance * scale
    ):
        hunt.at.use[i] = to
        return True
    hunt.at.use[i] = to
    return False


def _between(hunt: LevelHunt, i: int, aim: float) -> float:
    """Where a cubic through both ends with their slopes, no steeper than keeps it rising, reaches *aim*; nan: an end is not known."""
    low, high = hunt.low[0, i], hunt.high[0, i]
    wide, rise = high - low, hunt.high[1, i] - hunt.low[1, i]
    if rise < 1e-12:
        return float(low + 0.5 * wide)
    t = (aim - hunt.low[1, i]) / rise
    left = min(rise / max(hunt.low[2, i], 1e-300), 3.0 * wide)
    right = min(rise / max(hunt.high[2, i], 1e-300), 3.0 * wide)
    return float(low + t * t * (3.0 - 2.0 * t) * wide + t * (1.0 - t) * ((1.0 - t) * left - t * right))
