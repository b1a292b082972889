"""The wear forecast of one part a second way: plain numbers, adaptive quadrature over the rate and root finding.

The moments of the filter are those of the engine's method, written again from the equations without arrays; the grid of
rates is replaced by quadrature. Slow on purpose.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import erfc, exp, expm1, inf, log, pi, sqrt

from scipy.integrate import quad
from scipy.optimize import brentq

FLAT = (-0.5, 2.0)


@dataclass(frozen=True)
class Look:
    """One reading: use and its variance since the one before, ends (equal = value), noise, which instrument."""

    use: float
    use_var: float
    low: float
    high: float
    sd: float
    gauge: int


@dataclass(frozen=True)
class Part:
    """All that is known of a part, on its own scale."""

    mu: float
    sigma: float
    start: tuple[float, float]
    biases: tuple[tuple[float, float], ...]
    looks: tuple[Look, ...]
    use_to_now: tuple[float, float]
    noise: tuple[float, float, float]
    misread: float


def phi(x: float) -> float:
    """Density of the standard normal."""
    return exp(-0.5 * x * x) / sqrt(2 * pi) if abs(x) < 38 else 0.0


def integral(x: float) -> float:
    """Integral of the standard normal."""
    return 0.5 * erfc(-x / sqrt(2))


def variance_of_growth(use: float, noise: tuple[float, float, float]) -> float:
    """q(x) of the method."""
    fast, slow, length = noise
    ratio = abs(use) / length
    return fast * abs(use) + 2 * slow**2 * length**2 * (ratio + expm1(-ratio))


def along_one_rate(part: Part, rate: float) -> tuple[float, float, float]:
    """Likelihood of all readings at this rate, and mean and variance of wear now."""
    states = 1 + len(part.biases)
    mean = [part.start[0], *(b[0] for b in part.biases)]
    sds = [part.start[1], *(b[1] for b in part.biases)]
    cov = [[sds[i] ** 2 if i == j else 0.0 for j in range(states)] for i in range(states)]
    likelihood = 1.0
    for look in part.looks:
        mean[0] += rate * look.use
        cov[0][0] += rate**2 * (variance_of_growth(look.use, part.noise) + look.use_var)
        g = 1 + look.gauge
        seen = [cov[i][0] + cov[i][g] for i in range(states)]
        root = sqrt(seen[0] + seen[g] + look.sd**2)
        good, shift, left = _cut(look.low, look.high, mean[0] + mean[g], root)
        width = FLAT[1] - FLAT[0]
        if look.low == look.high:
            slip = 1 / width
        else:
            slip = max(min(look.high, FLAT[1]) - max(look.low, FLAT[0]), 1e-3 * width) / width
        total = (1 - part.misread) * good + part.misread * slip
        w = (1 - part.misread) * good / total
        likelihood *= total
        # Two stories, the reading good (w) or a slip: mean and variance of their mixture.
        gain = [s / root for s in seen]
        drop = w * (1 - left) - w * (1 - w) * shift**2
        for i in range(states):
            mean[i] += w * gain[i] * shift
            for j in range(states):
                cov[i][j] -= gain[i] * gain[j] * drop
    mean[0] += rate * part.use_to_now[0]
    cov[0][0] += rate**2 * (variance_of_growth(part.use_to_now[0], part.noise) + part.use_to_now[1])
    return likelihood, mean[0], cov[0][0]


def _cut(low: float, high: float, expected: float, root: float) -> tuple[float, float, float]:
    """Likelihood, standardised mean shift and variance left of the reading, cut to low..high (or seen as a value)."""
    if low == high:
        z = (low - expected) / root
        return phi(z) / root, z, 0.0
    a, b = (low - expected) / root, (high - expected) / root
    chance = integral(b) - integral(a) if a < 0 else integral(-a) - integral(-b)
    if chance < 1e-280:
        return 0.0, 0.0, 1.0
    pa, pb = phi(a) if a > -inf else 0.0, phi(b) if b < inf else 0.0
    shift = (pa - pb) / chance
    slope = ((a * pa if pa else 0.0) - (b * pb if pb else 0.0)) / chance
    return chance, shift, 1 + slope - shift**2


class SecondWay:
    """Forecast of one part by quadrature and root finding."""

    def __init__(self, part: Part, reach: float = 3.7) -> None:
        self.part = part
        self.ends = part.mu - reach * part.sigma, part.mu + reach * part.sigma
        self._at = lru_cache(maxsize=None)(self._one)
        grid = [self.ends[0] + (self.ends[1] - self.ends[0]) * i / 24 for i in range(25)]
        # Quadrature walks past a narrow peak unless it is told where it is.
        self.peak = max(grid, key=lambda v: self._at(v)[0])
        self.total = self._mean_of(lambda _l, _m, _v: 1.0)

    def _one(self, log_rate: float) -> tuple[float, float, float]:
        likelihood, mean, var = along_one_rate(self.part, exp(log_rate))
        return likelihood * phi((log_rate - self.part.mu) / self.part.sigma) / self.part.sigma, mean, var

    def _mean_of(self, what) -> float:  # type: ignore[no-untyped-def]
        def weighted(log_rate: float) -> float:
            weight, mean, var = self._at(log_rate)
            return weight * what(log_rate, mean, var)

        value, _ = quad(weighted, *self.ends, points=[self.peak], epsrel=1e-7, epsabs=0.0, limit=100)
        return float(value)

    @property
    def log_evidence(self) -> float:
        """Log evidence of all readings, the prior cut to the same range as the grid."""
        return log(self.total / (integral(3.7) - integral(-3.7)))

    def passed_by(self, use: float, mark: float = 1.0) -> float:
        """Chance that *mark* (the limit) is passed within *use*."""

        def what(log_rate: float, mean: float, var: float) -> float:
            rate = exp(log_rate)
            spread = var + rate**2 * variance_of_growth(use, self.part.noise)
            return integral((mean + rate * use - mark) / sqrt(spread))

        return self._mean_of(what) / self.total

    def quantile(self, level: float, mark: float = 1.0) -> float:
        """Use until *mark* that is passed with chance *level*."""
        low, high = -1.0 / exp(self.part.mu), 4.0 / exp(self.part.mu)
        while self.passed_by(low, mark) > level:
            low *= 2
        while self.passed_by(high, mark) < level:
            high *= 2
        return float(brentq(lambda x: self.passed_by(x, mark) - level, low, high, xtol=1e-3))


def quantiles(
    parts: Sequence[Part], levels: Sequence[float], marks: Sequence[float] = (1.0,)
) -> list[list[float]]:
    """Quantiles of the use until each mark, mark by mark, of each part, one after the other."""
    found = []
    for part in parts:
        one = SecondWay(part)
        found.append([one.quantile(level, mark) for mark in marks for level in levels])
    return found
