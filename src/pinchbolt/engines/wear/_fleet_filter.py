"""The filter: for each wear rate on a grid, a Gaussian over wear and instrument biases, step by step.

Arrays run parts x rates; one array a state. State 0 is wear on the own scale, the others are what is unknown of the
instruments. One part is a batch of one. In memory the parts lie side by side, as there are more parts than rates: sums
over rates and products with what a part has once then run along whole rows.
"""

from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wear._normal import density_and_integral
from pinchbolt.engines.wear._scale import Array, unevenness

HALF_WIDTH = 3.7  # of the grid of log rates, in standard deviations
FLAT_LOW, FLAT_HIGH = -0.5, 2.0  # where a slip may show, own scale
LEAST_FLAT = 1e-3  # least chance of an interval under a slip, as share of that range


@dataclass(slots=True)
class Cloud:
    """Belief over (rate, wear, biases) of many parts at one moment."""

    rate: Array  # parts x rates
    weight: Array  # parts x rates, adding up to 1 a part
    evidence: Array  # log evidence of all readings so far, a part
    mean: list[Array]  # one a state
    cov: list[list[Array]]  # cov[i][j] is the same array as cov[j][i]

    @property
    def wear(self) -> Array:
        """Mean of wear at each rate."""
        return self.mean[0]

    @property
    def wear_var(self) -> Array:
        """Variance of wear at each rate."""
        return self.cov[0][0]


def rate_grid(mu: Array, sigma: Array, nodes: int) -> tuple[Array, Array]:
    """Return rates (parts x nodes) on a grid even in the logarithm, and the prior weight of each node."""
    z = np.linspace(-HALF_WIDTH, HALF_WIDTH, nodes, dtype=mu.dtype)
    prior = np.exp(-0.5 * z**2)
    rate = np.exp(mu + sigma * z[:, None]).T
    return rate, np.broadcast_to(prior / prior.sum(), rate.shape)


def start(rate: Array, prior: Array, mean: Array, sd: Array) -> Cloud:
    """Return the cloud of parts before any reading; *mean* and *sd* (parts x states) of wear and instrument states."""
    states = mean.shape[1]

    def full(value: Array | float) -> Array:
        out = np.empty_like(rate)
        out[...] = value
        return out

    cov: list[list[Array]] = [[np.zeros(0)] * states for _ in range(states)]
    for i in range(states):
        for j in range(i + 1):
            cov[i][j] = cov[j][i] = full(sd[:, i, None] ** 2 if i == j else 0.0)
    means = [full(mean[:, i, None]) for i in range(states)]
    return Cloud(rate, full(prior), np.zeros(len(rate), rate.dtype), means, cov)


def grow(cloud: Cloud, use: Array, use_var: Array, noise: tuple[float, float, float]) -> None:
    """Let the parts be used for *use* (one a part), itself uncertain by *use_var*. In place."""
    spread = unevenness(use, *noise) + use_var
    cloud.mean[0] += cloud.rate * use[:, None]
    growth = cloud.rate * cloud.rate
    growth *= spread[:, None]
    cloud.cov[0][0] += growth


def read(cloud: Cloud, low: Array, high: Array, sd: Array, through: Array, misread: float) -> Array:
    """Take a reading of each part: value where low = high, else interval; both ends infinite = no reading.

    *through* (parts x states) is how the reading looks at the states: wear + bias + growth of bias. The cut-off normal
    is kept by its mean and variance, and mixed with the slip by its moments. In place. Returns, parts x rates, the
    chance that the reading was no slip.
    """
    look, expected, variance = _looked_at(cloud, sd, through)
    per_root = 1.0 / np.sqrt(variance)
    like, first, second = _moments(low, high, expected, per_root)
    like *= 1.0 - misread
    total = like + misread * _flat_share(low, high)[:, None]
    # With z the reading in its standard deviations, s = (1 - misread) / total: the mixture's mean of z is s x first and
    # its variance falls by (s x first)^2 - s x second. The slip keeps total above 0 however far out the reading is.
    scaled = (1.0 - misread) / total
    first *= scaled
    second *= scaled
    drop = first * first - second
    drop *= per_root
    drop *= per_root
    first *= per_root
    for i, one in enumerate(look):
        cloud.mean[i] += one * first
        one_drop = one * drop
        for j in range(i + 1):
            cloud.cov[i][j] -= one_drop * look[j]
    cloud.weight *= total
    sums = cloud.weight.sum(axis=1)
    cloud.weight /= sums[:, None]
    cloud.evidence += np.log(sums)
    return np.asarray(like / total)


def count_by_km(cloud: Cloud, passing: Array) -> None:
    """Turn the density of wear at the limit into that of the km at which it is passed, where *passing* is above 0. In place.

    A life that ends at x has density rate x (use a km) x density of wear = limit at x: fast parts pass in fewer km.
    """
    factor = np.where(passing[:, None] > 0, cloud.rate * passing[:, None], 1.0)
    cloud.weight *= factor
    sums = cloud.weight.sum(axis=1)
    cloud.weight /= sums[:, None]
    cloud.evidence += np.log(sums)


def _looked_at(cloud: Cloud, sd: Array, through: Array) -> tuple[list[Array], Array, Array]:
    """Covariance of each state with the reading, the reading's mean and its variance."""
    look = [cov[0].copy(order="K") for cov in cloud.cov]
    expected = cloud.mean[0].copy(order="K")
    seen = [j for j in range(1, through.shape[1]) if through[:, j].any()]
    for j in seen:
        by = through[:, j, None]
        plain = bool((by == 1.0).all())
        expected += cloud.mean[j] if plain else by * cloud.mean[j]
        for i in range(len(look)):
            look[i] += cloud.cov[i][j] if plain else by * cloud.cov[i][j]
    variance = look[0] + (sd * sd)[:, None]
    for j in seen:
        variance += through[:, j, None] * look[j]
    return look, expected, variance


def _flat_share(low: Array, high: Array) -> Array:
    """Chance of an interval, or density of a value, if the reading is a slip that can show anywhere in the range."""
    width = FLAT_HIGH - FLAT_LOW
    inside = np.clip(high, FLAT_LOW, FLAT_HIGH) - np.clip(low, FLAT_LOW, FLAT_HIGH)
    return np.asarray(np.where(low == high, 1.0 / width, np.maximum(inside / width, LEAST_FLAT)))


def _moments(low: Array, high: Array, expected: Array, per_root: Array) -> tuple[Array, Array, Array]:
    """Likelihood of the reading and its first two derivatives by the expected reading, in its standard deviations.

    For an interval a to b: Phi(b) - Phi(a), phi(a) - phi(b), a phi(a) - b phi(b); for a value x with density p: p, x p,
    (x^2 - 1) p. One end serves a value and an open interval; a second end is looked at only where both are finite.
    """
    has_low, has_high = np.isfinite(low), np.isfinite(high)
    # "At or above a" is seen in the mirror, as "below -a".
    sign = np.where(has_low & ~has_high, -1.0, 1.0).astype(low.dtype)[:, None]
    x = np.where(has_high, high, np.where(has_low, low, 0.0))[:, None] - expected
    x *= sign * per_root
    dense, like = density_and_integral(x)
    first = dense * -sign
    second = x * dense
    np.negative(second, out=second)
    value = (has_low & (low == high)).astype(low.dtype)[:, None]
    if value.any():
        # Products with 1 and 0 choose between the two kinds of reading, quicker than picking parts and exact.
        other = 1.0 - value
        shown = dense * per_root
        shown *= value
        slope = x * shown
        for array in (like, first, second):
            np.multiply(array, other, out=array)
        like += shown
        first += slope
        second += x * slope - shown
    both = np.flatnonzero(has_low & has_high & (low != high))
    if len(both):
        # Parts lie side by side in memory, so they are picked from arrays turned round.
        a = (low[both] - np.take(expected.T, both, axis=1)) * np.take(per_root.T, both, axis=1)
        dense_a, like_a = density_and_integral(a)
        like.T[:, both] = np.maximum(np.take(like.T, both, axis=1) - like_a, 0.0)
        first.T[:, both] += dense_a
        second.T[:, both] += a * dense_a
    nothing = np.flatnonzero(~has_low & ~has_high)
    if len(nothing):
        like[nothing], first[nothing], second[nothing] = 1.0, 0.0, 0.0
    return like, first, second
