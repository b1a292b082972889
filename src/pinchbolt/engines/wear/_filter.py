"""The filter: for each wear rate on a grid, a Gaussian over wear and instrument biases, step by step.

Arrays run parts x rates x states. State 0 is wear on the own scale; the others are what is unknown of instruments.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from pinchbolt.engines.wear._scale import Array, OwnScale, unevenness

HALF_WIDTH = 3.7  # of the grid of log rates, in standard deviations
LOG_ROOT_2PI = 0.5 * float(np.log(2 * np.pi))
FLAT_LOW, FLAT_HIGH = -0.5, 2.0  # where a slip may show, own scale


@dataclass(slots=True)
class Cloud:
    """Belief over (rate, wear, biases) of many parts at one moment. `log_weight` includes prior and evidence so far."""

    rate: Array  # parts x rates
    log_weight: Array  # parts x rates
    mean: Array  # parts x rates x states
    cov: Array  # parts x rates x states x states

    def evidence(self) -> Array:
        """Log evidence of all readings so far, a part. [-]"""
        top = self.log_weight.max(axis=1)
        return np.asarray(top + np.log(np.exp(self.log_weight - top[:, None]).sum(axis=1)))

    def weight(self) -> Array:
        """Weights of the rates, adding up to 1 a part."""
        return np.asarray(np.exp(self.log_weight - self.evidence()[:, None]))


def rate_grid(mu: Array, sigma: Array, nodes: int) -> tuple[Array, Array]:
    """Return rates (parts x nodes) on a grid even in the logarithm, and the log prior weight of each node."""
    z = np.linspace(-HALF_WIDTH, HALF_WIDTH, nodes)
    log_prior = -0.5 * z**2
    log_prior -= np.log(np.exp(log_prior).sum())
    rate = np.exp(mu[:, None] + sigma[:, None] * z)
    return rate, np.broadcast_to(log_prior, rate.shape).copy()


def start(
    rate: Array, log_prior: Array, wear: tuple[Array, Array], states: tuple[Array, Array] | None = None
) -> Cloud:
    """Return the cloud of parts whose wear has the mean and standard deviation *wear*.

    *states* are mean and standard deviation (parts x instrument states) of what is unknown of the instruments.
    """
    parts, nodes = rate.shape
    extra = 0 if states is None else states[0].shape[1]
    mean = np.zeros((parts, nodes, 1 + extra))
    cov = np.zeros((parts, nodes, 1 + extra, 1 + extra))
    mean[:, :, 0] = wear[0][:, None]
    cov[:, :, 0, 0] = wear[1][:, None] ** 2
    if states is not None:
        mean[:, :, 1:] = states[0][:, None, :]
        for i in range(extra):
            cov[:, :, 1 + i, 1 + i] = states[1][:, i, None] ** 2
    return Cloud(rate, log_prior.copy(), mean, cov)


def grow(cloud: Cloud, use: Array, use_var: Array, scale: OwnScale) -> None:
    """Let the parts be used for *use* (one a part), itself uncertain by *use_var*. In place."""
    spread = unevenness(use, scale.noise, scale.slow_sd, scale.slow_use) + use_var
    cloud.mean[:, :, 0] += cloud.rate * use[:, None]
    cloud.cov[:, :, 0, 0] += cloud.rate**2 * spread[:, None]


def read(cloud: Cloud, low: Array, high: Array, sd: Array, through: Array, misread: float) -> Array:
    """Take a reading of each part: value where low = high, else interval. Return the chance that it was no slip.

    *through* (parts x states) is how the reading looks at the states: wear + bias + growth of bias. The posterior of
    an interval keeps the mean and variance of the cut-off normal; the slip is mixed in by its moments. In place.
    """
    look = np.einsum("nksj,nj->nks", cloud.cov, through)
    expected = np.einsum("nks,ns->nk", cloud.mean, through)
    variance = np.einsum("nks,ns->nk", look, through) + (sd**2)[:, None]
    root = np.sqrt(variance)
    is_value = low == high
    log_like, shift, shrink = _value_moments(low, expected, variance, root)
    if not is_value.all():
        cut = _interval_moments(low, high, expected, root)
        keep = is_value[:, None]
        log_like, shift, shrink = (
            np.where(keep, a, b) for a, b in zip((log_like, shift, shrink), cut, strict=True)
        )
    flat = np.log(_flat_share(low, high))[:, None]
    log_good, log_slip = np.log1p(-misread) + log_like, np.log(misread) + flat
    total = np.logaddexp(log_good, log_slip)
    good = np.exp(log_good - total)
    gain = look / variance[:, :, None]
    taken = good * shrink - good * (1.0 - good) * shift**2
    cloud.mean += gain * (good * shift)[:, :, None]
    cloud.cov -= gain[:, :, :, None] * gain[:, :, None, :] * taken[:, :, None, None]
    cloud.log_weight += total
    return np.asarray((cloud.weight() * good).sum(axis=1))


def _flat_share(low: Array, high: Array) -> Array:
    """Chance of an interval, or density of a value, if the reading is a slip that can show anywhere in the range."""
    width = FLAT_HIGH - FLAT_LOW
    inside = np.clip(high, FLAT_LOW, FLAT_HIGH) - np.clip(low, FLAT_LOW, FLAT_HIGH)
    return np.asarray(np.where(low == high, 1.0, np.maximum(inside, 1e-3 * width)) / width)


def _value_moments(shown: Array, expected: Array, variance: Array, root: Array) -> tuple[Array, Array, Array]:
    """Log density of a value, shift of the reading's mean and drop of its variance."""
    shift = np.where(np.isfinite(shown), shown, 0.0)[:, None] - expected
    return -0.5 * shift**2 / variance - np.log(root) - LOG_ROOT_2PI, shift, variance


def _interval_moments(low: Array, high: Array, expected: Array, root: Array) -> tuple[Array, Array, Array]:
    """Log chance of an interval under a normal, shift of the mean and drop of the variance of the cut-off normal."""
    a, b = (low[:, None] - expected) / root, (high[:, None] - expected) / root
    # Work in the lower tail, where the logarithm of the normal integral loses nothing.
    flip = a > 0
    a, b = np.where(flip, -b, a), np.where(flip, -a, b)
    log_b = log_ndtr(b)
    with np.errstate(invalid="ignore", divide="ignore"):
        log_chance = log_b + np.log1p(-np.exp(np.minimum(log_ndtr(a) - log_b, -1e-15)))
        at_a = np.where(np.isfinite(a), np.exp(-0.5 * a**2 - LOG_ROOT_2PI - log_chance), 0.0)
        at_b = np.where(np.isfinite(b), np.exp(-0.5 * b**2 - LOG_ROOT_2PI - log_chance), 0.0)
        slope = np.where(np.isfinite(a), a, 0.0) * at_a - np.where(np.isfinite(b), b, 0.0) * at_b
    hazard = at_a - at_b
    drop = np.clip(hazard**2 - slope, 0.0, 1.0)
    return log_chance, np.where(flip, -hazard, hazard) * root, drop * root**2
