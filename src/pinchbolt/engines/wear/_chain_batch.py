"""From chain lines to a batch of parts: distances with their doubt, events in order of use, instruments and their stories."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._batch import Batch
from pinchbolt.engines.wear._lines import (
    INSTRUMENTS,
    LIVES_TO,
    MIXED,
    NEW,
    STARTS,
    ChainLines,
    LearnedChains,
    Tuning,
)
from pinchbolt.engines.wear._one import GO_NO_GO_MARKS, LEAST_SD, bent
from pinchbolt.engines.wear._scale import Array

BENCH_SD, BENCH_SLIP = (
    0.04,
    0.01,
)  # own scale: of what was measured off the bike; its share of slips. Assumptions.
KINDS = len(INSTRUMENTS)
HALF_RELIED = 4.0  # readings on which a rate rests half, and half on other chains; an assumption


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
        return np.asarray(np.where(count > 0, self.at[np.arange(len(lines)), np.maximum(count - 1, 0)], 0.0))


def stated(lines: ChainLines) -> NDArray[np.bool_]:
    """Stretches whose km and days are both known."""
    with np.errstate(invalid="ignore"):
        return np.asarray((lines.gauge >= 0) & (lines.km > 0) & (lines.days > 0))


def way_of(lines: ChainLines, known: LearnedChains, share: float) -> Way:
    """Return where each reading was taken; an unknown stretch is days times the use a day of this chain."""
    said = stated(lines)
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.where(said, np.log(np.where(said, lines.km, 1.0) / np.where(said, lines.days, 1.0)), 0.0)
    noise = known.step_log_sd**2
    precision = 1 / known.km_log_sd**2 + said.sum(axis=1) / noise
    mean = (
        np.log(np.array(known.km_a_day))[lines.use] / known.km_log_sd**2 + logs.sum(axis=1) / noise
    ) / precision
    var_log = (1 / precision + noise)[:, None]
    days = np.where(np.isfinite(lines.days), lines.days, 0.0)
    missing = ~np.isfinite(lines.km)
    step = np.where(missing, np.exp(mean[:, None] + var_log / 2) * days, lines.km)
    step[lines.gauge < 0] = 0.0
    return Way(np.cumsum(step, axis=1), np.where(missing, np.sqrt(np.expm1(var_log)), share))


@dataclass(frozen=True, slots=True)
class ChainBelief:
    """What is believed of each chain: mean and sd of its log rate, and what its instruments may be.

    `kinds`: chains x instruments x two stories x (weight, bias, sd), percent.
    """

    mu: Array
    sigma: Array
    kinds: Array


def base_mu(lines: ChainLines, known: LearnedChains) -> Array:
    """Mean log rate on each chain's own scale, by its class, limit and drive."""
    drive = np.where(lines.hub, -np.log(known.beliefs["hub-lives"]), 0.0)
    return np.asarray(known.log_rate()[lines.use] + np.log((LIVES_TO - NEW) / (lines.limit - NEW)) + drive)


@dataclass(frozen=True, slots=True)
class ChainBatch:
    """Chains as a batch; `own` (chains x biases) names the instrument behind each (-1: none); km at the last event."""

    batch: Batch
    own: NDArray[np.int64]
    now: Array


def chain_batch(lines: ChainLines, known: LearnedChains, tuning: Tuning, told: ChainBelief) -> ChainBatch:
    """Return *lines* as the law takes them, with their closings at the bench as readings of their own."""
    n = len(lines)
    way = way_of(lines, known, tuning.share)
    event = _events(lines, way, tuning)
    own, look = _instruments(event.gauge)
    per_unit = 1.0 / (lines.limit - NEW)
    unit = per_unit[:, None]
    use = np.diff(bent(event.at, tuning.bend), axis=1, prepend=0.0)
    rows = np.arange(n)[:, None]
    bias = told.kinds[rows, np.maximum(own, 0)] * np.array([1.0, 1.0, 1.0])
    bias[:, :, :, 1:] *= per_unit[:, None, None, None]
    bias[:, :, :, 2] = np.maximum(bias[:, :, :, 2], LEAST_SD)
    last = np.maximum(event.count - 1, 0)
    outcomes, shown = _outcomes(lines, event, last, per_unit)
    level, held = event.at[np.arange(n), last], known.beliefs
    # The more a rate rests on its readings, the more it is that of then.
    relied = lines.readings / (lines.readings + HALF_RELIED)
    return ChainBatch(
        Batch(
            mu=told.mu, sigma=told.sigma,
            tail=np.full(n, tuning.tail), tail_factor=np.full(n, held["tail-factor"]),
            hub=np.where(lines.hub, 0.0, tuning.hub), hub_off=np.full(n, -np.log(held["hub-lives"])),
            noise=np.full(n, tuning.noise), slow_sd=np.full(n, tuning.slow_sd), slow_use=np.full(n, tuning.slow_use),
            start=_starts(lines, known, tuning, per_unit),
            run_in=tuning.run_in * per_unit,
            use=np.hstack([use, np.zeros((n, 1))]),
            use_var=np.hstack([(event.share * use) ** 2, np.zeros((n, 1))]),
            bedded=np.exp(-event.at / held["run-in-km"]),
            bedded_new=np.exp(-0.5 * event.stretch[np.arange(n), last] / held["run-in-km"]),
            low=(event.low - NEW) * unit, high=(event.high - NEW) * unit,
            sd=np.where(event.gauge >= 0, np.maximum(tuning.reading_sd[event.gauge] * unit, LEAST_SD), BENCH_SD),
            look=look, again=event.again, bias=bias,
            misread=np.where(event.gauge >= 0, tuning.misread, BENCH_SLIP),
            marks=np.zeros((n, 0)), marked=np.zeros(n, np.int64), outcomes=outcomes, shown=shown,
            known_bias=(look[np.arange(n), last] * (bias[:, :, :, 0] * bias[:, :, :, 1]).sum(axis=2)).sum(axis=1),
            usual=np.where(event.count > 0, bent(level, tuning.bend) * np.exp(base_mu(lines, known)), -1.0),
            part_sd=np.full(n, known.part_share) * told.sigma, ahead=np.hypot(tuning.ahead * relied, tuning.stated),
            readings=event.count, biases=(own >= 0).sum(axis=1),
        ),
        own,
        np.where(event.count > 0, level, 0.0),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Events:
    """Readings and closings in order of use (chains x events); `gauge` -1: a closing, or nothing."""

    at: Array
    share: Array
    gauge: NDArray[np.int64]
    low: Array
    high: Array
    again: Array
    count: NDArray[np.int64]

    @property
    def stretch(self) -> Array:
        """Km since the event before."""
        return np.diff(self.at, axis=1, prepend=0.0)


def _events(lines: ChainLines, way: Way, tuning: Tuning) -> _Events:
    n, i = len(lines), np.arange(len(lines))[:, None]
    none = lines.gauge < 0
    closing = lines.bench & np.isfinite(lines.closed)
    # One that was measured and not past yet says so, closed or not: left out, those that passed alone would be heard.
    before = lines.bench & np.isfinite(lines.passed_after)
    one = np.ones((n, 1))
    # A reading at the same km comes first: it was part of the same look.
    at = np.hstack(
        [
            np.where(none, np.inf, way.at),
            np.where(before, lines.passed_after, np.inf)[:, None],
            np.where(closing, lines.closed, np.inf)[:, None],
        ]
    )
    turn = np.argsort(at, axis=1, kind="stable")
    count = np.isfinite(at).sum(axis=1)
    turn = turn[:, : max(int(count.max(initial=0)), 1)]
    limit = lines.limit[:, None]
    gauge = np.hstack([lines.gauge, np.full((n, 2), -1)])[i, turn]
    low = np.hstack([lines.low, -np.inf * one, limit])[i, turn]
    high = np.hstack([lines.high, limit, np.inf * one])[i, turn]
    again = np.zeros(lines.gauge.shape)
    again[:, 1:] = (
        (lines.days[:, 1:] == 0) & (lines.gauge[:, 1:] >= 0) & (lines.gauge[:, 1:] == lines.gauge[:, :-1])
    )
    again = np.hstack([again, np.zeros((n, 2))])[i, turn]
    share = np.hstack([way.share, np.full((n, 2), tuning.share)])[i, turn]
    at = at[i, turn]
    at = np.where(np.isinf(at), np.where(np.isinf(at), 0.0, at).max(axis=1, initial=0.0)[:, None], at)
    return _Events(at, share, gauge, low, high, again, count)


def _instruments(gauge: NDArray[np.int64]) -> tuple[NDArray[np.int64], Array]:
    """Number the instruments of each chain in order of first use, and say which each event looks through."""
    n, events = gauge.shape
    number, used, i = np.full((n, KINDS), -1), np.zeros(n, np.int64), np.arange(n)
    order = np.full(gauge.shape, -1)
    for j in range(events):
        one = gauge[:, j]
        fresh = (one >= 0) & (number[i, np.maximum(one, 0)] < 0)
        number[i[fresh], one[fresh]] = used[fresh]
        used = used + fresh
        order[:, j] = np.where(one >= 0, number[i, np.maximum(one, 0)], -1)
    most = int(used.max(initial=0))
    own, look = np.full((n, most), -1), np.zeros((n, events, most))
    for k in range(KINDS):
        here = np.flatnonzero(number[:, k] >= 0)
        own[here, number[here, k]] = k
    for j in range(events):
        seen = np.flatnonzero(order[:, j] >= 0)
        look[seen, j, order[seen, j]] = 1.0
    return own, look


def _starts(lines: ChainLines, known: LearnedChains, tuning: Tuning, per_unit: Array) -> Array:
    """Weight, mean and sd of the three ways a chain may have started (chains x 3 x 3)."""
    held = known.beliefs
    shares = {
        "here": (held["used-here"], held["other-here"]),
        "told": (held["used-told"], held["other-told"]),
        "used": (1.0 - held["other-used"], held["other-used"]),
        "unknown": (0.0, 1.0),
    }
    table = np.array([shares[name] for name in STARTS] + [(held["used-mixed"], held["other-mixed"])])
    assert len(table) == MIXED + 1
    used, other = table[lines.start].T
    # Of a chain that we fitted and nobody has read there is nothing to doubt.
    unread = (lines.readings == 0) & (lines.start != STARTS.index("unknown"))
    used, other = np.where(unread, 0.0, used), np.where(unread, 0.0, other)
    start = np.zeros((len(lines), 3, 3))
    start[:, 0] = np.stack(
        [
            1.0 - used - other,
            (tuning.start - NEW) * per_unit,
            np.maximum(tuning.start_sd * per_unit, LEAST_SD),
        ],
        axis=1,
    )
    start[:, 1] = np.stack(
        [used, *(np.full(len(lines), held[k]) for k in ("used-wear", "used-wear-sd"))], axis=1
    )
    start[:, 2] = np.stack(
        [other, *(np.full(len(lines), held[k]) for k in ("other-wear", "other-wear-sd"))], axis=1
    )
    return start


def _outcomes(
    lines: ChainLines, event: _Events, last: NDArray[np.int64], per_unit: Array
) -> tuple[Array, NDArray[np.int64]]:
    """Marks that the last event can show: the two of a chain gauge, else its own ends; none for a value."""
    i = np.arange(len(lines))
    low, high = event.low[i, last], event.high[i, last]
    on_gauge = (np.isin(low, GO_NO_GO_MARKS) | np.isinf(low)) & (
        np.isin(high, GO_NO_GO_MARKS) | np.isinf(high)
    )
    first = np.where(on_gauge, GO_NO_GO_MARKS[0], np.where(np.isfinite(low), low, high))
    second = np.where(on_gauge, GO_NO_GO_MARKS[1], high)
    both = on_gauge | (np.isfinite(low) & np.isfinite(high))
    shown = np.where((low == high) | (event.count == 0), 0, np.where(both, 2, 1))
    return (np.stack([first, second], axis=1) - NEW) * per_unit[:, None], shown
