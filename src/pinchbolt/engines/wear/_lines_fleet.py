"""From chain lines to fleets: distances with their doubt, events in order of use, instruments with what they may be."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._lines import INSTRUMENTS, LIVES_TO, NEW, ChainLines, LearnedChains, Tuning
from pinchbolt.engines.wear._many import Fleet
from pinchbolt.engines.wear._scale import Array

Rows = NDArray[np.int64]
BEND_AT = 3000.0  # km at which a bent growth has the slope of a straight one
CLOSED_SD = 0.01  # own scale: how exactly a closed chain was at its limit
LEAST_SD = 1e-4
RUN_IN_KM = 200.0  # over which a new chain beds in. Assumption.
FEW = 2500  # chains below which fewer and longer arrays are quicker


@dataclass(frozen=True, slots=True)
class Way:
    """Km since fitting at each reading, and the relative doubt of the stretch before it (chains x readings)."""

    at: Array
    share: Array

    def reached(self, lines: ChainLines) -> Array:
        """Km since fitting at the last reading, 0 where there is none."""
        count = lines.readings
        if not self.at.shape[1]:
            return np.zeros(len(lines))
        last = self.at[np.arange(len(lines)), np.maximum(count - 1, 0)]
        return np.asarray(np.where(count > 0, last, 0.0))


def way_of(lines: ChainLines, known: LearnedChains, share: float) -> Way:
    """Return where each reading was taken; an unknown stretch is days times the use a day of this chain."""
    mean, sd = use_a_day(lines, known)
    var_log = (sd**2 + known.step_log_sd**2)[:, None]
    days = np.where(np.isfinite(lines.days), lines.days, 0.0)
    guess = np.exp(mean[:, None] + var_log / 2) * days
    missing = ~np.isfinite(lines.km)
    step = np.where(missing, guess, lines.km)
    step[lines.gauge < 0] = 0.0
    return Way(np.cumsum(step, axis=1), np.where(missing, np.sqrt(np.expm1(var_log)), share))


def use_a_day(lines: ChainLines, known: LearnedChains) -> tuple[Array, Array]:
    """Mean and sd of the log of km a day of each chain: its class, and its own stated stretches."""
    said = stated(lines)
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.where(said, np.log(np.where(said, lines.km, 1.0) / np.where(said, lines.days, 1.0)), 0.0)
    noise = known.step_log_sd**2
    precision = 1 / known.km_log_sd**2 + said.sum(axis=1) / noise
    prior = np.log(np.array(known.km_a_day))[lines.use] / known.km_log_sd**2
    return (prior + logs.sum(axis=1) / noise) / precision, 1 / np.sqrt(precision)


def stated(lines: ChainLines) -> NDArray[np.bool_]:
    """Stretches whose km and days are both known."""
    with np.errstate(invalid="ignore"):
        return np.asarray((lines.gauge >= 0) & (lines.km > 0) & (lines.days > 0))


def bent(km: Array, bend: float) -> Array:
    """Use as growth counts it: km to the power *bend*, alike at 3,000 km."""
    return np.asarray(BEND_AT * (np.maximum(km, 0.0) / BEND_AT) ** bend) if bend != 1.0 else km


def unbent(use: Array, bend: float) -> Array:
    """Km of a bent use; before fitting there was none."""
    return np.asarray(BEND_AT * (np.maximum(use, 0.0) / BEND_AT) ** (1 / bend)) if bend != 1.0 else use


def not_yet_run_in(km: Array, tuning: Tuning) -> Array:
    """Percent by which a chain is still shorter at *km* than it will be once bedded in: `start` counts all of that."""
    return np.asarray(tuning.run_in * np.exp(-km / RUN_IN_KM))


@dataclass(frozen=True, slots=True)
class Gauges:
    """Which instrument is which state, chain by chain: bias with doubt and growth by chain and instrument (percent)."""

    bias: Array  # chains x instruments
    bias_sd: Array
    growth: Array


@dataclass(frozen=True, slots=True)
class Group:
    """Chains of equal length and as many instruments; `own` names the instrument behind each state (chains x states - 1)."""

    rows: Rows
    fleet: Fleet
    own: Rows


def groups(
    lines: ChainLines,
    way: Way,
    tuning: Tuning,
    mu: Array,
    sigma: Array,
    gauges: Gauges,
    *,
    together: bool = False,
) -> Iterator[Group]:
    """Yield the chains as fleets. *mu* and *sigma* are of the log of the own-scale rate, a chain.

    *together*: chains of unequal length share a fleet where they are few, the short ones filled up with no reading.
    """
    order, used = _first_uses(lines.gauge)
    events = lines.readings + np.isfinite(lines.closed)
    if together and len(lines) < FEW:
        events = np.full(len(lines), events.max(initial=0))
    key = np.stack([events, used], axis=1)
    for one in np.unique(key, axis=0):
        here = np.flatnonzero((key == one).all(axis=1))
        yield _group(lines, way, tuning, (mu, sigma), gauges, here, order[here], int(one[0]), int(one[1]))


def _first_uses(gauge: Rows) -> tuple[Rows, Rows]:
    """Number the instruments of each chain in order of first use (-1 = none), and how many there are."""
    n = len(gauge)
    number, used = np.full((n, len(INSTRUMENTS)), -1), np.zeros(n, np.int64)
    order = np.full(gauge.shape, -1)
    i = np.arange(n)
    for j in range(gauge.shape[1]):
        one = gauge[:, j]
        new = (one >= 0) & (number[i, np.maximum(one, 0)] < 0)
        number[i[new], one[new]] = used[new]
        used = used + new
        order[:, j] = np.where(one >= 0, number[i, np.maximum(one, 0)], -1)
    return order, used


def _group(
    lines: ChainLines,
    way: Way,
    tuning: Tuning,
    rate: tuple[Array, Array],
    gauges: Gauges,
    rows: Rows,
    order: Rows,
    events: int,
    states: int,
) -> Group:
    """One fleet: readings and the closing in order of use."""
    n, i = len(rows), np.arange(len(rows))[:, None]
    per_unit = (1.0 / (lines.limit[rows] - NEW))[:, None]
    closed = lines.closed[rows][:, None]
    none = lines.gauge[rows] < 0
    at = np.hstack([np.where(none, np.inf, way.at[rows]), np.where(np.isfinite(closed), closed, np.inf)])
    turn = np.argsort(at, axis=1, kind="stable")[:, :events]
    at = at[i, turn]
    gauge = np.hstack([lines.gauge[rows], np.full((n, 1), -1)])[i, turn]
    state = np.hstack([order, np.full((n, 1), -1)])[i, turn]
    share = np.hstack([way.share[rows], np.full((n, 1), tuning.share)])[i, turn]
    one = np.ones((n, 1))
    low, high = (np.hstack([a[rows], lines.limit[rows][:, None]])[i, turn] for a in (lines.low, lines.high))
    nothing = np.isinf(at)
    # What fills up a short chain comes without further use.
    at = np.where(nothing, np.where(nothing, 0.0, at).max(axis=1, initial=0.0)[:, None], at)
    low, high = np.where(nothing, -np.inf, low), np.where(nothing, np.inf, high)
    shift = np.where(gauge >= 0, gauges.growth[rows][i, np.maximum(gauge, 0)] * at / 1000, 0.0)
    shift = shift - not_yet_run_in(at, tuning)
    use = np.diff(bent(at, tuning.bend), axis=1, prepend=0.0)
    own = np.zeros((n, states), np.int64)
    through = np.zeros((n, events, states + 1))
    through[:, :, 0] = 1.0
    for j in range(events):
        seen = np.flatnonzero(state[:, j] >= 0)
        own[seen, state[seen, j]] = gauge[seen, j]
        through[seen, j, 1 + state[seen, j]] = 1.0
    mean = np.hstack([(tuning.start - NEW) * one, gauges.bias[rows][i, own]]) * per_unit
    sd = np.hstack([tuning.start_sd * one, gauges.bias_sd[rows][i, own]]) * per_unit
    gauge_sd = np.where(gauge >= 0, tuning.reading_sd[gauge] * per_unit, CLOSED_SD)
    fleet = Fleet(
        mu=rate[0][rows],
        sigma=rate[1][rows],
        mean=mean,
        sd=np.maximum(sd, LEAST_SD),
        use=np.hstack([use, 0 * one]),
        use_var=np.hstack([(share * use) ** 2, 0 * one]),
        low=(low - shift - NEW) * per_unit,
        high=(high - shift - NEW) * per_unit,
        gauge_sd=np.maximum(gauge_sd, LEAST_SD),
        through=through,
        noise=(tuning.noise, tuning.slow_sd, tuning.slow_use),
        misread=tuning.misread,
        passing=_passing(at, (gauge < 0) & ~nothing, tuning.bend) if np.isfinite(closed).any() else None,
    )
    return Group(rows, fleet, own)


def _passing(at: Array, closing: NDArray[np.bool_], bend: float) -> Array:
    """How fast bent use counts with km at a closing, 0 where there is none."""
    return np.asarray(np.where(closing, bend * (np.maximum(at, 1.0) / BEND_AT) ** (bend - 1.0), 0.0))


def base_mu(lines: ChainLines, known: LearnedChains) -> Array:
    """Mean log rate on each chain's own scale, by its class and limit."""
    return np.asarray(known.log_rate()[lines.use] + np.log((LIVES_TO - NEW) / (lines.limit - NEW)))
