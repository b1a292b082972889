"""From a belief to figures: chance of being past a mark, remaining use and days as quantiles of a mixture."""

from collections.abc import Callable

import numpy as np
from scipy.special import ndtri

from pinchbolt.engines.wear._normal import ROOT_2PI, density_and_integral
from pinchbolt.engines.wear._scale import Array, unevenness

# Nodes and weights of the mean over a normal variable (probabilists' Gauss-Hermite, 7 points).
HERMITE_X, _HERMITE_W = np.polynomial.hermite_e.hermegauss(7)
HERMITE_W = _HERMITE_W / _HERMITE_W.sum()

Curve = Callable[[Array], tuple[Array, Array]]


def chance_past(weight: Array, mean: Array, var: Array, mark: Array) -> Array:
    """Return the chance that wear is past *mark* now, a part. [-]"""
    return np.asarray((weight * density_and_integral((mean - mark[:, None]) / np.sqrt(var))[1]).sum(axis=1))


def passed_by(
    weight: Array, rate: Array, gap: Array, var: Array, use: Array, noise: tuple[float, float, float]
) -> tuple[Array, Array]:
    """Return P(remaining use <= x) and its slope for x = *use* (parts x points).

    P = sum_k w_k Phi((m_k + r_k x - h) / sqrt(V_k + r_k^2 q(x))); *gap* is m - h. The same for x below 0: passed
    already. Valid while wear only grows; where the part is past its mark the far side of 0 stays at 1.
    """
    fast, slow_sd, slow_use = noise
    spread = unevenness(use, fast, slow_sd, slow_use)
    slope_q = np.sign(use) * (fast - 2.0 * slow_sd**2 * slow_use * np.expm1(-np.abs(use) / slow_use))
    r = rate[:, None, :]
    r2 = r * r
    per_root = 1.0 / np.sqrt(var[:, None, :] + r2 * spread[:, :, None])
    z = r * use[:, :, None]
    z += gap[:, None, :]
    z *= per_root
    dense, below = density_and_integral(z)
    # dz/dx = (r - z r^2 q'(x) / (2 root)) / root
    z *= per_root
    z *= r2
    z *= -0.5 * slope_q[:, :, None]
    z += r
    z *= per_root
    z *= dense
    # Sums over the rates as products of matrices: parts x points x rates with parts x rates x 1.
    column = weight[:, :, None]
    return np.matmul(below, column)[:, :, 0], np.matmul(z, column)[:, :, 0]


def quantiles(curve: Curve, levels: Array, guess: Array, low: Array, high: Array) -> Array:
    """Return where *curve* (chance and slope at parts x levels) reaches *levels*, inside low to high.

    Newton steps on the probit of the chance, which is nearly a straight line, never leaving a bracket that shrinks at
    each of them; a step that would leave it is replaced by halving.
    """
    low, high = low.astype(float).copy(), high.astype(float).copy()
    x = np.clip(guess, low, high)
    tolerance = 1e-10 * (high - low) + 1e-12
    aim = ndtri(levels)
    for _ in range(80):
        chance, slope = curve(x)
        below = chance < levels
        low, high = np.where(below, x, low), np.where(below, high, x)
        probit = ndtri(chance)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = x - (probit - aim) * np.exp(-0.5 * probit**2) / (ROOT_2PI * slope)
            good = (np.abs(step - x) <= tolerance) | ((step > low) & (step < high))
        nxt = np.where(good, step, 0.5 * (low + high))
        if bool(np.all((np.abs(nxt - x) <= tolerance) | (high - low <= tolerance))):
            return nxt
        x = nxt
    return x


def use_quantiles(
    weight: Array,
    rate: Array,
    gap: Array,
    var: Array,
    levels: Array,
    noise: tuple[float, float, float],
) -> Array:
    """Return the quantiles (parts x levels) of remaining use until wear passes the mark; below 0 = passed already."""
    wanted = np.broadcast_to(levels, (len(weight), len(levels)))

    def curve(x: Array) -> tuple[Array, Array]:
        return passed_by(weight, rate, gap, var, x, noise)

    low, high = _bracket(curve, weight, rate, gap, var, wanted)
    centre = -(weight * gap).sum(axis=1) / (weight * rate).sum(axis=1)
    return quantiles(curve, wanted, np.broadcast_to(centre[:, None], wanted.shape), low, high)


def _bracket(
    curve: Curve, weight: Array, rate: Array, gap: Array, var: Array, levels: Array
) -> tuple[Array, Array]:
    """Ends between which every level lies: the slowest and fastest node with nine deviations, then doubled."""
    reach = ((np.abs(gap) + 9.0 * np.sqrt(var) + 0.1) / rate).max(axis=1)
    high = np.broadcast_to(reach[:, None], levels.shape).copy()
    low = -high
    for _ in range(40):
        short, long = curve(high)[0] < levels, curve(low)[0] > levels
        if not (short.any() or long.any()):
            break
        high, low = np.where(short, 2 * high, high), np.where(long, 2 * low, low)
    return low, high


def day_curve(
    weight: Array,
    rate: Array,
    gap: Array,
    var: Array,
    noise: tuple[float, float, float],
    a_day: tuple[float, float],
) -> Curve:
    """Return chance and slope of being past the mark after some days; use a day is lognormal (median, log sd)."""
    speed = a_day[0] * np.exp(a_day[1] * HERMITE_X)

    def curve(days: Array) -> tuple[Array, Array]:
        chance, slope = np.zeros(days.shape), np.zeros(days.shape)
        for v, w in zip(speed, HERMITE_W, strict=True):
            one, its_slope = passed_by(weight, rate, gap, var, v * days, noise)
            chance += w * one
            slope += w * v * its_slope
        return chance, slope

    return curve


def wear_quantiles(weight: Array, mean: Array, var: Array, levels: Array) -> Array:
    """Return the quantiles (parts x levels) of wear now."""
    root = np.sqrt(var)
    wanted = np.broadcast_to(levels, (len(weight), len(levels)))

    def curve(x: Array) -> tuple[Array, Array]:
        dense, below = density_and_integral((x[:, :, None] - mean[:, None, :]) / root[:, None, :])
        column = weight[:, :, None]
        return np.matmul(below, column)[:, :, 0], np.matmul(dense / root[:, None, :], column)[:, :, 0]

    low = np.broadcast_to((mean - 9 * root).min(axis=1)[:, None], wanted.shape)
    high = np.broadcast_to((mean + 9 * root).max(axis=1)[:, None], wanted.shape)
    centre = (weight * mean).sum(axis=1)[:, None]
    return quantiles(curve, wanted, np.broadcast_to(centre, wanted.shape), low, high)
