"""The part's own scale: 0 as new, 1 at its limit, whichever way the bench reading runs. How uneven growth is on it."""

from dataclasses import dataclass
from functools import cache
from math import erfc, sqrt

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear.wear_types import WearLaw
from pinchbolt.values import Interval

Array = NDArray[np.float64]

# Shares of the median life, common practice by simulation: 120 km and 500 km of 3,000 km.
NOISE_SHARE = 0.04
SLOW_SHARE = 1 / 6
# Of the spread of lives (0.46), what differs from part to part on one bike (0.18). Assumption.
PART_SHARE = 0.18 / 0.46
Z_FOUR_IN_FIVE = 1.2815515655446004  # Phi^-1(0.9)


@dataclass(frozen=True, slots=True)
class OwnScale:
    """A law on the part's own scale. `per_unit` is negative for a part that reads less as it wears."""

    new: float
    per_unit: float
    start_sd: float
    warn: float
    mu: float
    sigma: float
    part_sigma: float
    noise: float
    slow_sd: float
    slow_use: float
    misread: float

    @property
    def unevenness(self) -> tuple[float, float, float]:
        """noise, slow_sd and slow_use together."""
        return self.noise, self.slow_sd, self.slow_use

    def wear(self, shown: float) -> float:
        """Bench unit to own scale; infinite ends stay infinite."""
        return (shown - self.new) * self.per_unit

    def bench(self, wear: float) -> float:
        """Own scale to bench unit."""
        return self.new + wear / self.per_unit

    def interval(self, shown: Interval) -> Interval:
        """An interval of bench readings on the own scale, ends in order."""
        ends = self.wear(shown.low), self.wear(shown.high)
        return Interval(min(ends), max(ends))


def own_scale(law: WearLaw) -> OwnScale:
    """Return *law* on its own scale, with the assumptions that it leaves open filled in."""
    per_unit = 1.0 / (law.limit - law.new)
    part = law.life_log_sd * PART_SHARE if law.part_log_sd is None else law.part_log_sd
    sigma = law.life_log_sd * body_share(0.0 if law.clock else law.tail, law.tail_factor)
    return OwnScale(
        new=law.new,
        per_unit=per_unit,
        # `new_spread` is the half-width of what new parts show: taken as two standard deviations.
        start_sd=abs(law.new_spread * per_unit) / 2,
        warn=(law.warn - law.new) * per_unit,
        mu=-float(np.log(law.median_life)),
        sigma=max(sigma, 1e-4),
        part_sigma=min(part, sigma),
        noise=law.median_life * NOISE_SHARE if law.noise is None else law.noise,
        slow_sd=law.slow_sd,
        slow_use=law.median_life * SLOW_SHARE if law.slow_use is None else law.slow_use,
        misread=law.misread,
    )


@cache
def body_share(tail: float, tail_factor: float) -> float:
    """Return the share of a spread of lives that is left to their body, so that with the tail four in five lie within 1.28 of it.

    (1 - t) Phi(x) + t Phi(x / f) = 0.9 by halving; 1.2816 / x. A spread is known by how far usual lives differ: the few odd ones
    come on top of it far out, they do not widen what is usual.
    """
    low, high = Z_FOUR_IN_FIVE, Z_FOUR_IN_FIVE * max(tail_factor, 1.0)
    for _ in range(60):
        x = 0.5 * (low + high)
        beyond = (1.0 - tail) * erfc(x / sqrt(2.0)) + tail * erfc(x / tail_factor / sqrt(2.0))
        low, high = (x, high) if beyond > 0.2 else (low, x)
    return Z_FOUR_IN_FIVE / low


def unevenness(use: Array, noise: float | Array, slow_sd: float | Array, slow_use: float | Array) -> Array:
    """Return the variance of growth, counted in use, over a stretch of *use*.

    q(x) = noise x + 2 slow_sd^2 L^2 (x / L - 1 + exp(-x / L)) with L = slow_use: independent pieces plus a slow
    unevenness whose memory fades over L. A stretch backwards counts like the same stretch forwards.
    """
    x = np.abs(use)
    ratio = x / slow_use
    return np.asarray(noise * x + 2.0 * (slow_sd * slow_use) ** 2 * (ratio + np.expm1(-ratio)))
