"""Fit of what parts have in common, by the evidence of their readings and shrunk to what was believed before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._many import BULK_NODES, Fleet, filter_fleet, pieces
from pinchbolt.engines.wear._scale import Array

# How far a workshop may be from the trade, as standard deviations of logarithms. Assumptions.
SHIFT_SD = 0.20
SPREAD_SD = 0.25
NOISE_SD = 0.70
_STEP = 0.05


@dataclass(frozen=True, slots=True)
class Fit:
    """What was learned: shift of the log rate a class with its doubt, factors on spread, noise and slow unevenness."""

    shift: Array
    shift_sd: Array
    spread: float
    noise: float
    slow_sd: float
    gain: float


def fit_by_evidence(groups: Sequence[tuple[NDArray[np.intp], Fleet]], classes: int) -> Fit:
    """Return the fit that makes the readings most likely, weighed against the priors.

    log evidence(shift, spread, noise, slow) + log prior, all priors normal in the logarithm round the trade's. The slopes
    by shift and spread are those of the posterior of the rate (Fisher's identity); by noise and slow they are differences.

    *groups* are class numbers (parts) and fleets. `gain` is the log posterior won over the trade's own values.
    """
    from scipy.optimize import minimize  # noqa: PLC0415

    sds = np.array([SHIFT_SD] * classes + [SPREAD_SD, NOISE_SD, NOISE_SD])

    def value_and_slope(x: Array) -> tuple[float, Array]:
        value, slope, _ = _evidence(groups, x, classes)
        for k in (classes + 1, classes + 2):
            ahead = x.copy()
            ahead[k] += _STEP
            behind = x.copy()
            behind[k] -= _STEP
            slope[k] = (_evidence(groups, ahead, classes)[0] - _evidence(groups, behind, classes)[0]) / (
                2 * _STEP
            )
        return -(value - 0.5 * float(((x / sds) ** 2).sum())), -(slope - x / sds**2)

    start = np.zeros(classes + 3)
    before = value_and_slope(start)[0]
    found = minimize(
        value_and_slope, start, jac=True, method="L-BFGS-B", bounds=[(-4 * s, 4 * s) for s in sds]
    )
    best = np.asarray(found.x)
    known = _evidence(groups, best, classes)[2]
    return Fit(
        shift=best[:classes],
        shift_sd=1 / np.sqrt(1 / SHIFT_SD**2 + known),
        spread=float(np.exp(best[classes])),
        noise=float(np.exp(best[classes + 1])),
        slow_sd=float(np.exp(best[classes + 2])),
        gain=float(before - found.fun),
    )


def shifted(fleet: Fleet, which: NDArray[np.intp], fit: Fit) -> Fleet:
    """The fleet with what was learned put in its priors."""
    return _with(fleet, which, fit.shift, fit.spread, fit.noise, fit.slow_sd)


def _with(
    fleet: Fleet, which: NDArray[np.intp], shift: Array, spread: float, noise: float, slow: float
) -> Fleet:
    fast, slow_sd, slow_use = fleet.noise
    return replace(
        fleet,
        mu=fleet.mu + shift[which],
        sigma=fleet.sigma * spread,
        noise=(fast * noise, slow_sd * slow, slow_use),
    )


def _evidence(
    groups: Sequence[tuple[NDArray[np.intp], Fleet]], x: Array, classes: int
) -> tuple[float, Array, Array]:
    """Log evidence, its slope by shift and spread, and the information on each shift."""
    value, slope, known = 0.0, np.zeros(len(x)), np.zeros(classes)
    factors = np.exp(x[classes:])
    for which, fleet in groups:
        moved = _with(fleet, which, x[:classes], *(float(f) for f in factors))
        done = 0
        for piece in pieces(moved):
            cloud, _ = filter_fleet(piece, BULK_NODES)
            here = which[done : done + len(piece)]
            done += len(piece)
            value += float(cloud.evidence.sum())
            unit = (np.log(cloud.rate) - piece.mu[:, None]) / piece.sigma[:, None]
            mean = (cloud.weight * unit).sum(axis=1)
            square = (cloud.weight * unit**2).sum(axis=1)
            np.add.at(slope, here, mean / piece.sigma)
            slope[classes] += float((square - 1.0).sum())
            np.add.at(known, here, np.maximum(1.0 - (square - mean**2), 0.0) / piece.sigma**2)
    return value, slope, known
