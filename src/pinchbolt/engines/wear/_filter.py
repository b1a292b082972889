"""The filter of one part: a mixture over wear rates and stories, each with a Gaussian over wear and instrument biases.

All here are plain arrays and numbers, one part at a time: the same source runs as it stands for one part and compiled for
many (`_compiled`). A *component* is one wear rate under one story: how the part started (new, used, another one than on
record) and what its instruments are (plain, pushing). State 0 is wear on the own scale (0 new, 1 at the limit), the
others are what is unknown of the instruments.
"""

from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._normal import ROOT_2PI, bell, tail_over_bell
from pinchbolt.engines.wear._scale import Array, unevenness

NEW, USED, OTHER = 0, 1, 2  # how the part started
Z_LOW, Z_HIGH = (
    -6.0,
    6.0,
)  # of the grid of log rates, in spreads: hub chains are far out on the left; 0 is a node
# Nodes of that grid lie evenly in arsinh(z / Z_DENSE): close in the middle, where rates are, and wider apart further out.
Z_DENSE = 3.0
FLAT_LOW, FLAT_HIGH = -0.5, 2.0  # where a slip may show, own scale
LEAST_FLAT = 1e-3  # least chance of an interval under a slip, as share of that range
LEAST_STORY = (
    0.004  # a story of an instrument, or of that and of the start together, that is less likely is left out
)
# What weighs less after a reading is left out: one far from all others may rest on what weighs this little. From many parts at
# once is learned with less: their evidence hangs on no single reading.
LEAST_WEIGHT, LEAST_LEARNED = 1e-10, 1e-8
# Unless its start story is as unlikely by now: a story may come up again with the last reading, whatever there was before.
LEAST_OF_STORY = 3e-3
LOG_ROOT_2PI = 0.9189385332046727


class PartArrays(NamedTuple):
    """One part on its own scale, readings oldest first.

    Log rate: `mu`, `sigma`, a share `tail` of it `tail_factor` times as wide, a share `hub` of another kind that lies
    `hub_off` away. Unevenness `noise`, `slow_sd`, `slow_use`. `start` (stories x weight, mean, sd). `run_in`: own scale.
    `use`, `use_var` before each reading and from the last to now;
    `bedded` what of `run_in` is still missing at
    each (`bedded_new`: at the last one, if a new part was fitted half-way before it);
    `low`, `high`, `sd` of the readings, `look` (readings x biases), `again`: same day, same instrument as the one
    before; `misread`: share of slips;
    `bias` (biases x stories x weight, mean, sd). `marks`: where a safety part's law is conditioned (empty: no safety part);
    `outcomes`: marks of a go/no-go instrument (empty: the last reading is a value); `known_bias` of the last reading;
    `usual`: wear that the distance usually brings (-1: not known); `part_sd` of the log rate, part to part on one bike;
    `ahead`: share by which the rate on the way ahead may differ from that so far.
    """

    mu: float
    sigma: float
    tail: float
    tail_factor: float
    hub: float
    hub_off: float
    noise: float
    slow_sd: float
    slow_use: float
    start: Array
    run_in: float
    use: Array
    use_var: Array
    bedded: Array
    bedded_new: float
    low: Array
    high: Array
    sd: Array
    look: Array
    again: Array
    bias: Array
    misread: Array
    marks: Array
    outcomes: Array
    known_bias: float
    usual: float
    part_sd: float
    ahead: float


class Cloud(NamedTuple):
    """Belief at one moment: components side by side. `mean` (states x components), `cov` (states x states x components)."""

    weight: Array
    rate: Array
    z: Array
    story: Array
    row: Array
    mean: Array
    cov: Array


def prior_of_rates(part: PartArrays, nodes: int) -> tuple[Array, Array]:
    """Return the grid in spreads of the log rate, and the weight of each node: body, tail and other kind."""
    z = Z_DENSE * np.sinh(np.linspace(np.arcsinh(Z_LOW / Z_DENSE), np.arcsinh(Z_HIGH / Z_DENSE), nodes))
    off = part.hub_off / part.sigma
    weight = apart(z) * (
        (1.0 - part.tail - part.hub) * np.exp(-0.5 * z * z)
        + part.tail / part.tail_factor * np.exp(-0.5 * (z / part.tail_factor) ** 2)
        + part.hub * np.exp(-0.5 * (z - off) ** 2)
    )
    # The ends stand for half a step each.
    weight[0], weight[-1] = 0.5 * weight[0], 0.5 * weight[-1]
    return z, weight / weight.sum()


def apart(z: Array) -> Array:
    """How far the nodes of the grid of log rates lie from each other at each of *z*, over how far in the middle."""
    return np.sqrt(1.0 + (z / Z_DENSE) ** 2)


def hub_share(part: PartArrays, cloud: Cloud) -> float:
    """Share of the belief that lies in the other kind."""
    z, off = cloud.z, part.hub_off / part.sigma
    own = (1.0 - part.tail - part.hub) * np.exp(-0.5 * z * z) + part.tail / part.tail_factor * np.exp(
        -0.5 * (z / part.tail_factor) ** 2
    )
    hub = part.hub * np.exp(-0.5 * (z - off) ** 2)
    return float((cloud.weight * (hub / (own + hub + 1e-300))).sum())


def score_of_rate(part: PartArrays, cloud: Cloud) -> float:
    """Slope of the log evidence by the mean log rate (Fisher's identity: expectation of the prior's own slope)."""
    z, off = cloud.z, part.hub_off / part.sigma
    body = (1.0 - part.tail - part.hub) * np.exp(-0.5 * z * z)
    tail = part.tail / part.tail_factor * np.exp(-0.5 * (z / part.tail_factor) ** 2)
    hub = part.hub * np.exp(-0.5 * (z - off) ** 2)
    slope = (body * z + tail * z / part.tail_factor**2 + hub * (z - off)) / (body + tail + hub + 1e-300)
    return float((cloud.weight * slope).sum() / part.sigma)


def begin(part: PartArrays, nodes: int) -> Cloud:
    """The belief at fitting: rates x start stories x stories of the instruments that were used."""
    z, rates = prior_of_rates(part, nodes)
    biases = part.bias.shape[0]
    choices = 2**biases
    rows = 0
    for s in range(3):
        for c in range(choices):
            if story_weight(part, s, c) > 0.0:
                rows += 1
    size = rows * nodes
    weight, grid, story, row = np.zeros(size), np.zeros(size), np.zeros(size), np.zeros(size)
    mean, cov = np.zeros((1 + biases, size)), np.zeros((1 + biases, 1 + biases, size))
    k = 0
    for s in range(3):
        for c in range(choices):
            own = story_weight(part, s, c)
            if own > 0.0:
                here = slice(k * nodes, (k + 1) * nodes)
                weight[here] = own * rates
                grid[here] = z
                story[here] = s
                row[here] = k
                mean[0, here] = part.start[s, 1]
                cov[0, 0, here] = part.start[s, 2] ** 2
                for b in range(biases):
                    one = (c >> b) & 1
                    mean[1 + b, here] = part.bias[b, one, 1]
                    cov[1 + b, 1 + b, here] = part.bias[b, one, 2] ** 2
                k += 1
    weight /= weight.sum()
    return Cloud(weight, np.exp(part.mu + part.sigma * grid), grid, story, row, mean, cov)


def story_weight(part: PartArrays, s: int, c: int) -> float:
    """Weight of a start story with one story of each instrument; 0 where that is too unlikely to be followed."""
    biases, share = part.bias.shape[0], 1.0
    for b in range(biases):
        own = part.bias[b, (c >> b) & 1, 0]
        share *= own if own > LEAST_STORY else 0.0
    weight = float(part.start[s, 0] * share)
    # The likeliest of a start story's rows has at least that share, so none is left without a row.
    return 0.0 if weight < LEAST_STORY and share < 0.5**biases else weight


def grow(part: PartArrays, cloud: Cloud, j: int) -> None:
    """Let the part be used up to reading *j* (or to now). In place. Of another part nobody knows the first stretch."""
    spread = unevenness(part.use[j : j + 1], part.noise, part.slow_sd, part.slow_use)[0] + part.use_var[j]
    grown(part, cloud, j, part.use[j], spread)


def grown(part: PartArrays, cloud: Cloud, j: int, use: float, spread: float) -> None:
    """Add growth over *use* to each component, and its variance. In place."""
    rate = np.where(cloud.story == OTHER, 0.0, cloud.rate) if j == 0 else cloud.rate
    cloud.mean[0] += rate * use
    cloud.cov[0, 0] += rate * rate * spread


def looked_at(part: PartArrays, cloud: Cloud, j: int) -> tuple[Array, Array, Array]:
    """What reading *j* is expected to show: its mean and variance, and the covariance of each state with it."""
    states = cloud.mean.shape[0]
    # What a new part is not bedded in yet shows as less than `start` counts.
    expected = cloud.mean[0] - np.where(cloud.story == NEW, part.run_in * part.bedded[j], 0.0)
    seen = cloud.cov[:, 0].copy()
    for b in range(1, states):
        by = part.look[j, b - 1]
        if by != 0.0:
            expected = expected + by * cloud.mean[b]
            for i in range(states):
                seen[i] += by * cloud.cov[i, b]
    variance = seen[0] + part.sd[j] ** 2
    for b in range(1, states):
        by = part.look[j, b - 1]
        if by != 0.0:
            variance = variance + by * seen[b]
    return expected, variance, seen


def flat_share(low: float, high: float) -> float:
    """Chance of an interval, or density of a value, if the reading is a slip that can show anywhere in the range."""
    width = FLAT_HIGH - FLAT_LOW
    if low == high:
        return 1.0 / width
    inside = min(max(high, FLAT_LOW), FLAT_HIGH) - min(max(low, FLAT_LOW), FLAT_HIGH)
    return max(inside / width, LEAST_FLAT)


def repeated_share(part: PartArrays, j: int) -> float:
    """The same under a slip that was made once and is now read again: it shows what it showed."""
    if part.low[j] == part.high[j] and part.low[j - 1] == part.high[j - 1]:
        sd = max(part.sd[j], 1e-6) * 1.4142135623730951
        off = (part.low[j] - part.low[j - 1]) / sd
        return float(max(np.exp(-0.5 * off * off) / (sd * 2.5066282746310002), LEAST_FLAT))
    if part.low[j] == part.low[j - 1] and part.high[j] == part.high[j - 1]:
        return 1.0
    return flat_share(part.low[j], part.high[j]) if part.low[j] == part.high[j] else LEAST_FLAT


def told(
    expected: Array, variance: Array, low: float | Array, high: float | Array, slip: Array, flat: float
) -> tuple[Array, Array, Array, Array, float | Array]:
    """What a reading says of each component: factor of its weight, first slope and drop of variance, both in bench
    steps (times a state's covariance with the reading they move it), chance that it was a slip, log of a common factor.

    For a value x standard deviations out: density, x, x^2 - 1; for an interval a to b: Phi(b) - Phi(a) and its slopes.
    Of several values, or several intervals (a column of each end), a row each.
    """
    is_value = bool(np.all(low == high))
    if slip.min() > 0.0:
        if is_value:
            total, first, drop, slipped = told_of_value(expected, variance, low, slip, flat)
        else:
            total, first, drop, slipped = told_of_interval(expected, variance, low, high, slip, flat)
        return total, first, drop, slipped, 0.0
    per_root = 1.0 / np.sqrt(variance)
    if is_value:
        x = (low - expected) * per_root
        log_like = -0.5 * x * x + np.log(per_root) - LOG_ROOT_2PI
        first, second = x, x * x - 1.0
    else:
        log_like, first, second = cut_off((low - expected) * per_root, (high - expected) * per_root)
    # Where no slip is allowed for, likelihoods may all be tiny: only their ratios count.
    top = log_like.max(axis=-1, keepdims=log_like.ndim > 1) if slip.max() == 0.0 else 0.0
    total, first, drop, slipped = _with_slips(np.exp(log_like - top), first, second, per_root, slip, flat)
    return total, first, drop, slipped, top


def told_of_value(
    expected: Array, variance: Array, at: float | Array, slip: Array, flat: float
) -> tuple[Array, Array, Array, Array]:
    """`told` of a value, where slips are allowed for; of several (a column of them), a row each."""
    per_root = 1.0 / np.sqrt(variance)
    x = (at - expected) * per_root
    return _with_slips(np.exp(-0.5 * x * x) * per_root / ROOT_2PI, x, x * x - 1.0, per_root, slip, flat)


def told_of_interval(
    expected: Array,
    variance: Array,
    low: float | Array,
    high: float | Array,
    slip: Array,
    flat: float | Array,
) -> tuple[Array, Array, Array, Array]:
    """`told` of an interval, where slips are allowed for; of several (a column of them), a row each."""
    per_root = 1.0 / np.sqrt(variance)
    log_like, first, second = cut_off((low - expected) * per_root, (high - expected) * per_root)
    return _with_slips(np.exp(log_like), first, second, per_root, slip, flat)


def _with_slips(
    like: Array, first: Array, second: Array, per_root: Array, slip: Array, flat: float | Array
) -> tuple[Array, Array, Array, Array]:
    total = (1.0 - slip) * like + slip * flat + 1e-300
    good = (1.0 - slip) * like / total
    first = first * good
    return total, first * per_root, (first * first - second * good) * per_root * per_root, 1.0 - good


def cut_off(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Log chance of a normal between a and b, and its slopes by the mean (first, second) over that chance."""
    # Seen in the mirror where it lies to the left, so that no difference of two ones is taken.
    mirror = a + b < 0.0
    near = np.where(mirror, -b, a)
    far = np.where(mirror, -a, b)
    near = np.minimum(np.maximum(near, -38.0), 1e8)
    far = np.minimum(np.maximum(far, -38.0), 1e8)
    out = near > 0.0
    size = np.abs(near)
    ratio = np.exp(np.maximum(0.5 * (near - far) * (near + far), -700.0))
    ratio = np.where(far >= 38.0, 0.0, ratio)
    far_tail = tail_over_bell(np.minimum(np.abs(far), 38.0))
    near_tail = tail_over_bell(size)
    # In units of the bell at the near end when it lies out, else of 1.
    outside = np.maximum(near_tail - ratio * far_tail, 1e-290)
    low_bell, high_bell = (
        bell(np.minimum(size, 38.0)),
        np.where(far >= 38.0, 0.0, bell(np.minimum(np.abs(far), 38.0))),
    )
    inside = np.maximum(1.0 - low_bell * near_tail - high_bell * far_tail, 1e-290)
    chance = np.where(out, outside, inside)
    one = np.where(out, 1.0, low_bell)
    two = np.where(out, ratio, high_bell)
    log_like = np.log(chance) + np.where(out, -0.5 * size * size - LOG_ROOT_2PI, 0.0)
    first = (one - two) / chance
    # At 1e8 the product with the end is a product with an exact 0.
    second = (near * one - np.where(two == 0.0, 0.0, far) * two) / chance
    return log_like, np.where(mirror, -first, first), second


def slip_of(part: PartArrays, j: int, size: int, before: Array) -> tuple[Array, float]:
    """Chance of a slip at reading *j* a component, and what a slip shows: a repeat of the same day says nothing new."""
    if part.again[j] > 0.0 and len(before) == size:
        return before, repeated_share(part, j)
    return np.full(size, part.misread[j]), flat_share(part.low[j], part.high[j])


def read(
    part: PartArrays, cloud: Cloud, j: int, before: Array, least: float = LEAST_WEIGHT
) -> tuple[Cloud, Array, float]:
    """Take reading *j*. Returns the belief after it, the chance of a slip a component, and the log evidence it adds."""
    expected, variance, seen = looked_at(part, cloud, j)
    slip, flat = slip_of(part, j, len(cloud.weight), before)
    total, first, drop, slipped, top = told(expected, variance, part.low[j], part.high[j], slip, flat)
    moved(cloud, seen, first, drop)
    weight = cloud.weight * total
    whole = weight.sum()
    weight /= whole
    cloud, slipped = without_the_least(cloud, weight, slipped, least)
    return cloud, slipped, float(np.log(whole) + top)


def moved(cloud: Cloud, seen: Array, first: Array, drop: Array) -> None:
    """Move mean and covariance of every state by what a reading told (`told`). In place."""
    states = cloud.mean.shape[0]
    for i in range(states):
        cloud.mean[i] += seen[i] * first
        for k in range(states):
            cloud.cov[i, k] -= seen[i] * seen[k] * drop


def without_the_least(cloud: Cloud, weight: Array, slipped: Array, least: float) -> tuple[Cloud, Array]:
    """The belief with these weights, without the components that weigh next to nothing, in their start story too."""
    keep = np.zeros(len(weight)) > 0.0
    for s in range(3):
        mine = cloud.story == s
        keep = keep | (mine & (weight > min(least, LEAST_OF_STORY * np.where(mine, weight, 0.0).sum())))
    if keep.all():
        return Cloud(weight, cloud.rate, cloud.z, cloud.story, cloud.row, cloud.mean, cloud.cov), slipped
    left = np.flatnonzero(keep)
    weight = weight[left]
    weight /= weight.sum()
    return (
        Cloud(
            weight, cloud.rate[left], cloud.z[left], cloud.story[left], cloud.row[left],
            np.ascontiguousarray(cloud.mean[:, left]), np.ascontiguousarray(cloud.cov[:, :, left]),
        ),
        slipped[left],
    )  # fmt: skip


def until_last(
    part: PartArrays, nodes: int, least: float = LEAST_WEIGHT
) -> tuple[Cloud, Array, float, Cloud, Array]:
    """Run the filter up to the last reading, which is left to the guard.

    Returns the belief just before it, the chance of a slip of the reading before (a component), log evidence so far; the
    belief after the reading before, from which a change in silence is counted; and of each earlier reading the chance that
    it was a slip.
    """
    cloud = begin(part, nodes)
    readings = len(part.low)
    slipped, evidence, slips = np.zeros(0), 0.0, np.zeros(max(readings - 1, 0))
    for j in range(readings - 1):
        grow(part, cloud, j)
        cloud, slipped, more = read(part, cloud, j, slipped, least)
        slips[j] = (cloud.weight * slipped).sum()
        evidence += more
    before = Cloud(
        cloud.weight.copy(), cloud.rate, cloud.z, cloud.story, cloud.row, cloud.mean.copy(), cloud.cov.copy()
    )
    grow(part, cloud, max(readings - 1, 0))
    return cloud, slipped, evidence, before, slips


def on_another_part(part: PartArrays, before: Cloud) -> Cloud:
    """The belief about the last reading if a new part was fitted somewhere along the stretch before it.

    u ~ N(m0 + r x / 2, s0^2 + r^2 (x^2 / 12 + q(x / 2) + var / 4)); biases as they were known by then; the rate as it was known
    by then, blurred by the spread from part to part of one bike (twice: old part and new one).
    """
    last = len(part.low) - 1
    x = part.use[last]
    size = len(before.weight)
    blur = max(part.part_sd / part.sigma * 1.4142135623730951, 0.25)
    weight = blurred(before.weight, before.z, before.row, blur)
    mean, cov = before.mean.copy(), before.cov.copy()
    spread = (
        x * x / 12.0
        + unevenness(np.full(1, x / 2), part.noise, part.slow_sd, part.slow_use)[0]
        + part.use_var[last] / 4
    )
    mean[0] = part.start[NEW, 1] + before.rate * x / 2 - part.run_in * (part.bedded_new - part.bedded[last])
    cov[0] = 0.0
    cov[:, 0] = 0.0
    cov[0, 0] = part.start[NEW, 2] ** 2 + before.rate * before.rate * spread
    return Cloud(weight, before.rate, before.z, np.zeros(size), before.row, mean, cov)


def blurred(weight: Array, z: Array, row: Array, blur: float) -> Array:
    """Weights of rates, spread out by *blur* (in spreads of the log rate) over the rates of their own row."""
    near = np.exp(-0.5 * ((z.reshape(len(z), 1) - z) / blur) ** 2)
    near = np.where(row.reshape(len(z), 1) == row, near, 0.0) * apart(z).reshape(len(z), 1)
    return np.asarray((near / near.sum(axis=0) * weight).sum(axis=1))


def only_other(cloud: Cloud, slipped: Array) -> tuple[Cloud, Array]:
    """The belief if the distance before the first reading were not known."""
    left = np.flatnonzero(cloud.story == OTHER)
    weight = cloud.weight[left]
    some = slipped[left] if len(slipped) == len(cloud.weight) else slipped
    return Cloud(
        weight / weight.sum(), cloud.rate[left], cloud.z[left], cloud.story[left], cloud.row[left],
        np.ascontiguousarray(cloud.mean[:, left]), np.ascontiguousarray(cloud.cov[:, :, left]),
    ), some  # fmt: skip
