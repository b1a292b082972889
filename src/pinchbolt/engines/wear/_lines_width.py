"""How wide stated intervals turn out against lives that are known by now.

Growth is Gaussian here and is not so out there; what is left of that shows in the chains that taught. Their own forecasts,
as they would have been after a few readings, are held against what became of them.
"""

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._lines import ChainLines, LearnedChains
from pinchbolt.engines.wear._lines_fleet import Way, way_of
from pinchbolt.engines.wear._lines_forecast import foretold
from pinchbolt.engines.wear._normal import density_and_integral
from pinchbolt.engines.wear._scale import Array

AFTER = (1, 2, 4)  # readings after which a forecast is looked back at
MOST_CHAINS = 2400
PROBITS = np.linspace(-3.0, 3.0, 25)
WIDTH_SD = 0.10  # spread of the logarithm of what it may be before any life is known. Assumption.
LEAST_SLOPE = 1e-6


def width_of(lines: ChainLines, shops: tuple[str, ...], known: LearnedChains) -> float:
    """Return the sd of the probits at which known lives lie in the forecasts that *known* gives of them. [-]

    A closed chain says how far it still went; one that is open says that it went further than it has gone. What nobody
    knows of the distance until the reading is taken off. *lines* are those that *known* was learned from.
    """
    if len(lines) > MOST_CHAINS:
        lines = lines.take(np.linspace(0, len(lines) - 1, MOST_CHAINS).astype(int))
    way = way_of(lines, known, known.tuning.share)
    pieces = [_looked_back(lines, way, shops, known, count) for count in AFTER]
    chain, at, doubt, still = (np.concatenate(column) for column in zip(*pieces, strict=True))
    if not len(chain):
        return 1.0
    # Several looks at one chain are one life.
    return _fitted(at, doubt, still.astype(bool), 1.0 / np.bincount(chain.astype(int))[chain.astype(int)])


def _looked_back(
    lines: ChainLines, way: Way, shops: tuple[str, ...], known: LearnedChains, count: int
) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Chains that were sound at reading *count*: which, probit of what became of them, its doubt, whether still open."""
    early = np.arange(lines.gauge.shape[1]) < count
    shown_past = (lines.gauge >= 0) & (
        np.where(np.isfinite(lines.low), lines.low, -np.inf) >= lines.limit[:, None]
    )
    rows = np.flatnonzero((lines.readings >= count) & ~(shown_past & early).any(axis=1))
    if not len(rows):
        none = np.zeros(0)
        return none, none, none, none.astype(bool)
    mine, still = lines.take(rows), np.isnan(lines.closed[rows])
    end = np.where(still, way.reached(lines)[rows], mine.closed)
    left = end - way.at[rows, count - 1]
    step = np.diff(way.at[rows], axis=1, prepend=0.0)
    # Of an open chain the distance since the reading is in doubt, of a closed one that before it. An owner's word is out by
    # the same share all along, so doubts of stretches add up.
    doubt = (way.share[rows] * step * np.where(still[:, None], ~early, early)).sum(axis=1)
    told = foretold(
        _until(mine, early), shops, known, density_and_integral(PROBITS)[1], taught=True
    ).to_limit_km
    above = np.clip((told <= left[:, None]).sum(axis=1), 1, len(PROBITS) - 1)
    i = np.arange(len(rows))
    slope = (PROBITS[above] - PROBITS[above - 1]) / np.maximum(
        told[i, above] - told[i, above - 1], LEAST_SLOPE
    )
    at = PROBITS[above - 1] + slope * (left - told[i, above - 1])
    return rows.astype(float), np.clip(at, PROBITS[0], PROBITS[-1]), slope * doubt, np.asarray(still, bool)


def _until(lines: ChainLines, early: NDArray[np.bool_]) -> ChainLines:
    """The chains as they were known after their early readings."""
    return ChainLines(
        lines.shop,
        lines.use,
        lines.limit,
        np.full(len(lines), np.nan),
        np.where(early, lines.km, np.nan),
        lines.days,
        np.where(early, lines.gauge, -1),
        np.where(early, lines.low, -np.inf),
        np.where(early, lines.high, np.inf),
    )


def _fitted(at: Array, doubt: Array, still: NDArray[np.bool_], weight: Array) -> float:
    from scipy.optimize import minimize_scalar  # noqa: PLC0415
    from scipy.special import log_ndtr  # noqa: PLC0415

    def cost(x: float) -> float:
        sd = np.hypot(np.exp(x * WIDTH_SD), doubt)
        off = at / sd
        found = np.where(still, log_ndtr(-off), -0.5 * off * off - np.log(sd))
        return 0.5 * x * x - float((weight * found).sum())

    return float(np.exp(minimize_scalar(cost, bounds=(-4.0, 4.0), method="bounded").x * WIDTH_SD))
