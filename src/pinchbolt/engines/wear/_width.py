"""How wide stated intervals turn out against lives that were measured at the bench.

Growth is Gaussian here and is not so out there, gauges drift, seasons come and go; what is left of that shows in the chains
that taught. Their own forecasts, as they would have been after a few readings, are held against what became of them.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._chain_batch import Way, way_of
from pinchbolt.engines.wear._forecast_chains import forecast_chains
from pinchbolt.engines.wear._lines import ChainLines, LearnedChains
from pinchbolt.engines.wear._normal import integral
from pinchbolt.engines.wear._scale import Array

AFTER = (1, 2, 4)  # readings after which a forecast is looked back at
MOST_CHAINS = 1500
PROBITS = np.linspace(-3.0, 3.0, 13)
BEYOND = 4.0  # probit of what lies outside all of them
WIDTH_SD, SHIFT_SD = (
    0.10,
    0.15,
)  # of its logarithm, and of a common shift, before any life is known. Assumptions.
TAKEN = 0.5  # share of the logarithm of the width that is used: the other half proved to be chance
LEAST_CLOSED = 30  # chains measured at the bench, before which nothing is said


def width_of(lines: ChainLines, shops: tuple[str, ...], known: LearnedChains) -> float:
    """Return the sd of the probits at which measured lives lie in the forecasts that *known* gives of them. [-]

    A chain measured off the bike reached its limit between two visits; one that is open went further than it has gone. A
    chain that its gauge found past the limit says nothing here: it would widen by the gauge's own error. So would the error
    of a stated distance: forecasts are held to it with its doubt in them, and no further than distances were stated.
    """
    measured = lines.bench & np.isfinite(lines.closed)
    if measured.sum() < LEAST_CLOSED:
        return 1.0
    lines = lines.take(np.flatnonzero(measured | np.isnan(lines.closed)))
    if len(lines) > MOST_CHAINS:
        lines = lines.take(np.linspace(0, len(lines) - 1, MOST_CHAINS).astype(int))
    tuning = known.tuning
    # Growth over a stated distance is as unsure as the distance is: the same as a rate ahead that is another one.
    plain = replace(known, width=1.0, tuning=replace(tuning, stated=tuning.share))
    way = way_of(lines, plain, tuning.share)
    pieces = [_looked_back(lines, way, shops, plain, count) for count in AFTER]
    chain, low, high = (np.concatenate(column) for column in zip(*pieces, strict=True))
    if not len(chain):
        return 1.0
    # Several looks at one chain are one life.
    weight = 1.0 / np.bincount(chain)[chain]
    return float(np.exp(TAKEN * _fitted(low, high, weight)))


def _looked_back(
    lines: ChainLines, way: Way, shops: tuple[str, ...], known: LearnedChains, count: int
) -> tuple[NDArray[np.int64], Array, Array]:
    """Chains seen again after reading *count*: which, and the probits between which their life lay in that forecast."""
    stated, reached = _stated(lines, way)
    closed = np.isfinite(lines.closed) & (stated == lines.readings)
    at = way.at[:, min(count, way.at.shape[1]) - 1]
    sound = np.where(closed, np.where(np.isfinite(lines.passed_after), lines.passed_after, 0.0), reached)
    rows = np.flatnonzero((stated >= count) & np.where(closed, lines.closed > at, reached > at))
    if not len(rows):
        return rows, np.zeros(0), np.zeros(0)
    told = forecast_chains(
        lines.take(rows).until(count), shops, known, levels=tuple(integral(PROBITS))
    ).to_limit_km

    def probit_of(km: Array) -> Array:
        pairs = zip(km, told, strict=True)
        return np.array([np.interp(x, q, PROBITS, left=-BEYOND, right=BEYOND) for x, q in pairs])

    low = probit_of(sound[rows] - at[rows])
    high = np.where(closed[rows], probit_of(np.where(closed[rows], lines.closed[rows] - at[rows], 0.0)), 9.0)
    return rows, np.where(sound[rows] < at[rows], -9.0, low), high


def _stated(lines: ChainLines, way: Way) -> tuple[NDArray[np.int64], Array]:
    """Readings before the first whose distance nobody stated, and km since fitting at the last of them: what came later lies
    nobody knows how far on, so a chain counts as open there. One that was closed at its last reading was sound there only
    where that reading came before."""
    whole = np.cumprod((lines.gauge >= 0) & np.isfinite(lines.km), axis=1)
    count = np.asarray(whole.sum(axis=1), np.int64)
    last = np.maximum(count - 1, 0)
    return count, np.where(count > 0, way.at[np.arange(len(lines)), last], 0.0)


def _fitted(low: Array, high: Array, weight: Array) -> float:
    """Log of the width, with a common shift as company."""
    from scipy.optimize import minimize  # noqa: PLC0415

    def cost(x: Array) -> float:
        sd, shift = float(np.exp(x[0])), x[1]
        inside = np.maximum(integral((high - shift) / sd) - integral((low - shift) / sd), 1e-9)
        prior = 0.5 * (x[0] / WIDTH_SD) ** 2 + 0.5 * (shift / SHIFT_SD) ** 2
        return float(prior - (weight * np.log(inside)).sum())

    return float(minimize(cost, [0.0, 0.0], method="Nelder-Mead").x[0])
