"""The filter (`_filter`) as loops, for many parts: the belief about one part at a time, worked out in a room that is kept.

Components lie side by side in arrays that are long enough for any part of the batch (`CloudRoom`), so nothing is fetched from the
memory for a part; what weighs next to nothing is closed up in place. Rates are nodes of one even grid, so whatever hangs on the
rate alone (`Rates`) is worked out once a part. The states' covariance is kept by its lower half (`_pair`).
"""

from math import asinh, exp, expm1, log, sinh, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._filter import (
    LEAST_OF_STORY,
    NEW,
    OTHER,
    USED,
    Z_DENSE,
    Z_HIGH,
    Z_LOW,
    PartArrays,
    flat_share,
    repeated_share,
    story_weight,
)
from pinchbolt.engines.wear._loops import (
    OUT,
    bell_and_tail,
    least_of,
    product_of,
    told_exactly,
    told_of_interval,
    told_of_open_end,
    told_of_value,
)
from pinchbolt.engines.wear._scale import Array

Whole = NDArray[np.int64]
LANES = 8  # numbers that the processor takes at a time


class CloudRoom(NamedTuple):
    """Belief at one moment, as `Cloud` has it, and what a reading was expected to show and told, one a component."""

    weight: Array
    rate: Array
    node: Whole
    story: Whole
    row: Whole
    mean: Array  # states x components
    cov: Array  # pairs of states x components
    slipped: Array  # chance that the reading before was a slip
    slip: Array  # the same of the one that is being taken, before and after it is known what it shows
    after: Array
    expected: Array
    variance: Array
    seen: Array  # states x components
    total: Array
    first: Array
    drop: Array
    own: Array  # weight of each start story, and what is left out of it


class Rates(NamedTuple):
    """Of each node of the grid of log rates: prior weight, rate, slope of the log prior, share of the other kind; how much of it
    each node is once blurred (`near`: nodes x nodes).

    `times`: rate over that of the median part. `made_for`: the figures of a part that all but the rate hang on."""

    weight: Array
    rate: Array
    slope: Array
    hub: Array
    near: Array
    z: Array  # where it lies, in spreads
    told: Array  # room for a row: what was told at each node, and whether there is one
    there: Array
    times: Array
    made_for: Array


def room_for(nodes: int, biases: int) -> CloudRoom:
    """CloudRoom for any part of so many instruments."""
    n, states = 3 * 2**biases * nodes + LANES, 1 + biases
    return CloudRoom(
        np.zeros(n), np.zeros(n), np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros((states, n)),
        np.zeros((_pair(states, 0), n)), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros((states, n)),
        np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(3),
    )  # fmt: skip


def rates_for(nodes: int) -> Rates:
    """CloudRoom for what hangs on the rate."""
    return Rates(
        np.zeros(nodes), np.zeros(nodes), np.zeros(nodes), np.zeros(nodes), np.zeros((nodes, nodes)), np.zeros(nodes),
        np.zeros(nodes), np.zeros(nodes), np.zeros(nodes), np.full(6, np.nan),
    )  # fmt: skip


def _pair(i: int, j: int) -> int:
    """Where the covariance of two states lies."""
    return i * (i + 1) // 2 + j if i >= j else j * (j + 1) // 2 + i


def set_rates(part: PartArrays, rates: Rates) -> None:
    """See `_filter.prior_of_rates`, `score_of_rate`, `hub_share` and `blurred`. Parts of one kind differ in the rate alone."""
    mine, same = (part.sigma, part.tail, part.tail_factor, part.hub, part.hub_off, part.part_sd), True
    for k in range(len(mine)):
        same = same and rates.made_for[k] == mine[k]
    if not same:
        _make_rates(part, rates)
        for k in range(len(mine)):
            rates.made_for[k] = mine[k]
    median = exp(part.mu)
    for k in range(len(rates.rate)):
        rates.rate[k] = median * rates.times[k]


def _make_rates(part: PartArrays, rates: Rates) -> None:
    nodes, off, wide, total = len(rates.weight), part.hub_off / part.sigma, part.tail_factor, 0.0
    first = asinh(Z_LOW / Z_DENSE)
    step = (asinh(Z_HIGH / Z_DENSE) - first) / (nodes - 1)
    for k in range(nodes):
        z = Z_DENSE * sinh(first + step * k)
        body = (1.0 - part.tail - part.hub) * exp(-0.5 * z * z)
        tail = part.tail / wide * exp(-0.5 * (z / wide) ** 2)
        hub = part.hub * exp(-0.5 * (z - off) ** 2)
        whole = body + tail + hub
        half = 0.5 if k in (0, nodes - 1) else 1.0
        rates.z[k], rates.weight[k] = z, half * _apart(z) * whole
        rates.times[k] = exp(part.sigma * z)
        rates.slope[k] = (body * z + tail * z / wide**2 + hub * (z - off)) / (whole + 1e-300) / part.sigma
        rates.hub[k] = hub / (whole + 1e-300)
        total += rates.weight[k]
    for k in range(nodes):
        rates.weight[k] /= total
    _blur_rates(part, rates)


def _apart(z: float) -> float:
    """See `_filter.apart`."""
    return sqrt(1.0 + (z / Z_DENSE) ** 2)


def _blur_rates(part: PartArrays, rates: Rates) -> None:
    blur = max(part.part_sd / part.sigma * 1.4142135623730951, 0.25)
    for k in range(len(rates.z)):
        for m in range(len(rates.z)):
            near, _ = bell_and_tail(min(abs(rates.z[m] - rates.z[k]) / blur, OUT))
            rates.near[k, m] = near * _apart(rates.z[m])


def begin(part: PartArrays, room: CloudRoom, rates: Rates) -> int:
    """See `_filter.begin`. Returns how many components there are."""
    nodes, biases, n, row, total = len(rates.rate), part.bias.shape[0], 0, 0, 0.0
    for s in range(3):
        for c in range(2**biases):
            own = story_weight(part, s, c)
            if own <= 0.0:
                continue
            total += own
            for k in range(n, n + nodes):
                room.weight[k], room.rate[k] = own * rates.weight[k - n], rates.rate[k - n]
                room.node[k], room.story[k], room.row[k] = k - n, s, row
                room.mean[0, k] = part.start[s, 1]
            for i in range(_pair(1 + biases, 0)):
                for k in range(n, n + nodes):
                    room.cov[i, k] = part.start[s, 2] ** 2 if i == 0 else 0.0
            for b in range(biases):
                one = (c >> b) & 1
                for k in range(n, n + nodes):
                    room.mean[1 + b, k] = part.bias[b, one, 1]
                    room.cov[_pair(1 + b, 1 + b), k] = part.bias[b, one, 2] ** 2
            n, row = n + nodes, row + 1
    for k in range(n):
        room.weight[k] /= total
    return n


def spread_of(part: PartArrays, use: float) -> float:
    """See `_scale.unevenness`."""
    ratio = abs(use) / part.slow_use
    return part.noise * abs(use) + 2.0 * (part.slow_sd * part.slow_use) ** 2 * (ratio + expm1(-ratio))


def grow(part: PartArrays, room: CloudRoom, n: int, j: int) -> None:
    """See `_filter.grow`."""
    grown(room, n, j, part.use[j], spread_of(part, part.use[j]) + part.use_var[j])


def grown(room: CloudRoom, n: int, j: int, use: float, spread: float) -> None:
    """See `_filter.grown`."""
    for k in range(n):
        r = 0.0 if j == 0 and room.story[k] == OTHER else room.rate[k]
        room.mean[0, k] += r * use
        room.cov[0, k] += r * r * spread


def look_at(part: PartArrays, room: CloudRoom, n: int, j: int) -> None:
    """See `_filter.looked_at`."""
    states, missing, noise = 1 + part.bias.shape[0], part.run_in * part.bedded[j], part.sd[j] ** 2
    for k in range(n):
        room.expected[k] = room.mean[0, k] - (missing if room.story[k] == NEW else 0.0)
    for i in range(states):
        for k in range(n):
            room.seen[i, k] = room.cov[_pair(i, 0), k]
    for b in range(1, states):
        if part.look[j, b - 1] != 0.0:
            _through(room, n, b, states, part.look[j, b - 1])
    for k in range(n):
        room.variance[k] = room.seen[0, k] + noise
    for b in range(1, states):
        by = part.look[j, b - 1]
        if by != 0.0:
            for k in range(n):
                room.variance[k] += by * room.seen[b, k]
    # Behind the last component lie some that weigh nothing, so that eights may be filled up with them.
    for k in range(n, n + LANES):
        room.weight[k], room.expected[k], room.variance[k], room.slip[k] = 0.0, 0.0, 1.0, 1.0
        room.rate[k], room.first[k], room.drop[k], room.total[k] = 0.0, 0.0, 1.0, 0.0


def full(start: int, stop: int) -> int:
    """Where eights from *start* on end that hold all up to *stop*: what is left over one by one takes longer than another eight."""
    return start + (stop - start + LANES - 1) // LANES * LANES


def _through(room: CloudRoom, n: int, b: int, states: int, by: float) -> None:
    """Add what a reading shows of instrument *b*, which it looks through by that share."""
    for k in range(n):
        room.expected[k] += by * room.mean[b, k]
    for i in range(states):
        at = _pair(i, b)
        for k in range(n):
            room.seen[i, k] += by * room.cov[at, k]


def set_slip(part: PartArrays, room: CloudRoom, n: int, j: int, repeats: bool) -> float:
    """See `_filter.slip_of`. Returns what a slip shows."""
    if repeats and j > 0 and part.again[j] > 0.0:
        for k in range(n):
            room.slip[k] = room.slipped[k]
        return repeated_share(part, j)
    for k in range(n):
        room.slip[k] = part.misread[j]
    return flat_share(part.low[j], part.high[j])


def tell(room: CloudRoom, start: int, stop: int, low: float, high: float, flat: float) -> float:
    """See `_filter.told`: of the components from *start* to *stop*. Returns the log of their common factor."""
    if least_of(room.slip, start, stop) <= 0.0:
        return told_exactly(
            room.expected, room.variance, low, high, room.slip, flat, start, stop, room.total, room.first, room.drop, room.after
        )  # fmt: skip
    if low == high:
        told_of_value(
            room.expected, room.variance, low, room.slip, flat, start, full(start, stop), room.total, room.first, room.drop, room.after
        )  # fmt: skip
    elif low == -np.inf or high == np.inf:
        below = low == -np.inf
        told_of_open_end(
            room.expected, room.variance, high if below else low, -1.0 if below else 1.0, room.slip, flat, start, full(start, stop),
            room.total, room.first, room.drop, room.after,
        )  # fmt: skip
    else:
        told_of_interval(
            room.expected, room.variance, low, high, room.slip, flat, start, full(start, stop), room.total, room.first, room.drop,
            room.after,
        )  # fmt: skip
    return 0.0


def move(room: CloudRoom, n: int, states: int) -> None:
    """See `_filter.moved`."""
    for i in range(states):
        for k in range(n):
            room.mean[i, k] += room.seen[i, k] * room.first[k]
        for l in range(i + 1):  # noqa: E741
            at = _pair(i, l)
            for k in range(n):
                room.cov[at, k] -= room.seen[i, k] * room.seen[l, k] * room.drop[k]


def take(part: PartArrays, room: CloudRoom, n: int, j: int, least: float) -> tuple[int, float]:
    """See `_filter.read`. Returns how many components are left, and the log evidence that the reading adds."""
    look_at(part, room, n, j)
    flat = set_slip(part, room, n, j, True)
    top = tell(room, 0, n, part.low[j], part.high[j], flat)
    move(room, n, 1 + part.bias.shape[0])
    total = product_of(room.weight, room.total, 0, n)
    for k in range(n):
        room.weight[k] *= room.total[k] / total
        room.slipped[k] = room.after[k]
    return closed_up(room, n, 1 + part.bias.shape[0], least), log(total) + top


def closed_up(room: CloudRoom, n: int, states: int, least: float) -> int:
    """See `_filter.without_the_least`."""
    if _all_count(room.weight, room.story, n, least, room.own):
        return n
    left, total = 0, 0.0
    for k in range(n):
        if room.weight[k] > room.own[room.story[k]]:
            if left < k:
                room.weight[left], room.rate[left], room.node[left] = (
                    room.weight[k],
                    room.rate[k],
                    room.node[k],
                )
                room.story[left], room.row[left], room.slipped[left] = (
                    room.story[k],
                    room.row[k],
                    room.slipped[k],
                )
                for i in range(states):
                    room.mean[i, left] = room.mean[i, k]
                for i in range(_pair(states, 0)):
                    room.cov[i, left] = room.cov[i, k]
            total += room.weight[left]
            left += 1
    if left < n:
        for k in range(left):
            room.weight[k] /= total
    return left


def _all_count(weight: Array, story: Whole, n: int, least: float, own: Array) -> bool:
    """Whether all weigh something; fills *own* with what is left out of each start story."""
    new, used, other = 0.0, 0.0, 0.0
    for k in range(n):
        new += weight[k] if story[k] == NEW else 0.0
        used += weight[k] if story[k] == USED else 0.0
        other += weight[k] if story[k] == OTHER else 0.0
    own[NEW], own[USED], own[OTHER] = (
        min(least, LEAST_OF_STORY * new),
        min(least, LEAST_OF_STORY * used),
        min(least, LEAST_OF_STORY * other),
    )
    gone = 0
    for k in range(n):
        most = own[NEW] if story[k] == NEW else (own[USED] if story[k] == USED else own[OTHER])
        gone += 0 if weight[k] > most else 1
    return gone == 0


def until_last(part: PartArrays, room: CloudRoom, rates: Rates, least: float) -> tuple[int, float]:
    """See `_filter.until_last`. Returns how many components there are, and the log evidence so far."""
    set_rates(part, rates)
    n, evidence, readings = begin(part, room, rates), 0.0, len(part.low)
    for j in range(readings - 1):
        grow(part, room, n, j)
        n, more = take(part, room, n, j, least)
        evidence += more
    grow(part, room, n, max(readings - 1, 0))
    return n, evidence
