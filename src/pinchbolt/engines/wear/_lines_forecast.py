"""Forecast of many chains: quantiles of the distance still to go, chance of being past, odds for the chain on record."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._fleet_filter import Cloud
from pinchbolt.engines.wear._lines import LEAST_SPREAD, NEW, ChainLines, Kind, LearnedChains
from pinchbolt.engines.wear._lines_fleet import (
    Gauges,
    Group,
    Way,
    base_mu,
    bent,
    groups,
    not_yet_run_in,
    unbent,
    way_of,
)
from pinchbolt.engines.wear._many import BULK_NODES, Fleet, filter_fleet
from pinchbolt.engines.wear._next_part import evidence_on_new_part, rate_of_next, since_fitting
from pinchbolt.engines.wear._normal import density_and_integral, inverse
from pinchbolt.engines.wear._predict import chance_past, use_quantiles
from pinchbolt.engines.wear._scale import Array

LEVELS = (0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975)
PRECISION = 1e-3
LEAST_WEIGHT = 0.004  # a story of an instrument that is less likely is left out
PIECE = 1024
MOST_LOG_ODDS = 50.0
_NONE = Kind("none", 0.0, 0.0, 0.03)


@dataclass(frozen=True, slots=True)
class ChainForecasts:
    """A row a chain: km to the limit at `levels` (below 0 = passed that far back), chance of being past it at the last
    reading, odds (to 1) that the last reading is of the chain on record (nan: fewer than two readings)."""

    levels: tuple[float, ...]
    to_limit_km: Array
    chance_past_limit: Array
    odds_same: Array


def forecast_chains(
    lines: ChainLines,
    shops: tuple[str, ...],
    known: LearnedChains,
    *,
    levels: tuple[float, ...] = LEVELS,
    told: Callable[[float], None] | None = None,
) -> ChainForecasts:
    """Return how far each chain still goes as of its last reading, and whether it is the one on record.

    The filter of `judge` over arrays of chains; what an instrument may be (plain, or pushing the rollers) is carried as
    stories with weights, each weighed by how well the chain's readings fit it.

    Args:
        lines: Chains. [km, percent]
        shops: Name of each workshop number in *lines*. [-]
        known: What is believed of chains, of the trade or learned. [km, percent]
        levels: Chances at which quantiles are wanted. [-]
        told: Called with the share done, 0 to 1. [-]

    Returns:
        Quantiles of the distance to the limit, chance of being past it, odds. [km, -, -]

    Valid for: Open chains; of a closed one the closing is used like a reading at its limit.

    Source: docs/methods/wear.md.
    """
    asked = density_and_integral(known.width * inverse(np.array(levels)))[1]
    found = foretold(lines, shops, known, asked, told=told)
    with np.errstate(divide="ignore"):
        past = density_and_integral(inverse(found.chance_past_limit) / known.width)[1]
    return replace(found, levels=levels, chance_past_limit=past)


def foretold(
    lines: ChainLines,
    shops: tuple[str, ...],
    known: LearnedChains,
    levels: Array,
    *,
    taught: bool = False,
    told: Callable[[float], None] | None = None,
) -> ChainForecasts:
    """Return the forecasts as the filter gives them, before their intervals are put right by what they proved to hold.

    *taught*: the chains are among those that *known* was learned from, and lie nearer to their workshop's level than
    others do.
    """
    out = ChainForecasts(
        tuple(levels), np.zeros((len(lines), len(levels))), np.zeros(len(lines)), np.full(len(lines), np.nan)
    )
    done = 0
    for start in range(0, len(lines), PIECE * 4):
        rows = slice(start, start + PIECE * 4)
        piece = lines.take(rows)
        way = way_of(piece, known, known.tuning.share)
        stories = _stories(piece, shops, known, taught)
        for group in groups(piece, way, known.tuning, stories.mu, stories.sigma, stories.gauges(0)):
            for i in range(0, len(group.rows), PIECE):
                _forecast(_cut(group, i), piece, way, known, stories, levels, out, start)
        done += len(piece)
        if told:
            told(done / len(lines))
    return out


@dataclass(frozen=True, slots=True)
class _Stories:
    """What each chain's instruments may be (chains x instruments x stories), and its rate before any reading."""

    mu: Array
    sigma: Array
    weight: Array
    bias: Array
    bias_sd: Array
    growth: Array

    def gauges(self, story: int) -> Gauges:
        return Gauges(self.bias[:, :, story], self.bias_sd[:, :, story], self.growth[:, :, story])


def _stories(lines: ChainLines, shops: tuple[str, ...], known: LearnedChains, taught: bool) -> _Stories:
    own = [known.shop(name) for name in shops]
    level = np.array([s.level for s in own])[lines.shop, lines.use]
    level_sd = np.array([s.level_sd for s in own])[lines.shop, lines.use]
    two = [[(*kinds, _NONE)[:2] for kinds in s.kinds] for s in own]

    def table(name: str) -> Array:
        return np.array([[[getattr(k, name) for k in pair] for pair in s] for s in two])[lines.shop]

    spread = known.tuning.spread
    nearer = np.sqrt(np.maximum(spread**2 - level_sd**2, (LEAST_SPREAD * spread) ** 2))
    return _Stories(
        base_mu(lines, known) + level,
        nearer if taught else np.hypot(spread, level_sd),
        *(table(name) for name in ("weight", "bias", "bias_sd", "growth")),
    )


def _cut(group: Group, i: int) -> Group:
    part = slice(i, i + PIECE)
    return Group(group.rows[part], group.fleet.take(part), group.own[part])


def _forecast(
    group: Group,
    lines: ChainLines,
    way: Way,
    known: LearnedChains,
    stories: _Stories,
    levels: Array,
    out: ChainForecasts,
    start: int,
) -> None:
    """Fill the rows of one group: all stories of its instruments, mixed by their weight and evidence."""
    rows, n = group.rows, len(group.rows)
    parts: list[tuple[NDArray[np.intp], Array, Cloud]] = []
    same, new = np.full(n, -np.inf), np.full(n, -np.inf)
    for choice in product(range(2), repeat=group.own.shape[1]):
        weight = np.ones(n)
        for k, story in enumerate(choice):
            weight = weight * stories.weight[rows, group.own[:, k], story]
        here = np.flatnonzero(weight > LEAST_WEIGHT)
        if not len(here):
            continue
        fleet, growth = _told_so(group, here, lines, way, stories, choice, known)
        cloud, _ = filter_fleet(fleet, BULK_NODES)
        log_weight = np.log(weight[here])
        parts.append((here, log_weight + cloud.evidence, cloud))
        if lines.gauge.shape[1] > 1:
            record, fresh = _same_and_new(fleet, cloud, known, _last_stretch(lines, way, rows[here], growth))
            same[here] = np.logaddexp(same[here], log_weight + record)
            new[here] = np.logaddexp(new[here], log_weight + fresh)
    weight, rate, wear, var = _mixed(parts, n)
    noise = group.fleet.noise
    remaining = use_quantiles(weight, rate, wear - 1.0, var, levels, noise, PRECISION)
    bend, now = known.tuning.bend, _now(group, lines, way)
    at = start + rows
    out.to_limit_km[at] = unbent(bent(now, bend)[:, None] + remaining, bend) - now[:, None]
    out.chance_past_limit[at] = chance_past(weight, wear, var, np.ones(n))
    told = lines.readings[rows] > 1
    log_odds = np.where(told, same, np.nan) - np.where(told, new, np.nan)
    out.odds_same[at] = np.exp(np.clip(log_odds, -MOST_LOG_ODDS, MOST_LOG_ODDS))


def _now(group: Group, lines: ChainLines, way: Way) -> Array:
    """Km since fitting at the last event: the last reading, or the closing where it came later."""
    last = way.reached(lines)[group.rows]
    closed = lines.closed[group.rows]
    return np.asarray(np.where(np.isfinite(closed), np.maximum(last, closed), last))


def _told_so(
    group: Group,
    here: NDArray[np.intp],
    lines: ChainLines,
    way: Way,
    stories: _Stories,
    choice: tuple[int, ...],
    known: LearnedChains,
) -> tuple[Fleet, Array]:
    """The fleet of some chains under one story a state, and how each instrument's bias grows then."""
    rows = group.rows[here]
    gauges = stories.gauges(0)
    bias, sd, growth = (a[rows].copy() for a in (gauges.bias, gauges.bias_sd, gauges.growth))
    i = np.arange(len(rows))
    for k, story in enumerate(choice):
        one = group.own[here, k]
        for to, of in ((bias, stories.bias), (sd, stories.bias_sd), (growth, stories.growth)):
            to[i, one] = of[rows, one, story]
    some = replace(way, at=way.at[rows], share=way.share[rows])
    told = list(
        groups(
            lines.take(rows),
            some,
            known.tuning,
            stories.mu[rows],
            stories.sigma[rows],
            Gauges(bias, sd, growth),
        )
    )
    # Chains of one group stay one group, in order.
    return told[0].fleet, growth


def _mixed(parts: list[tuple[NDArray[np.intp], Array, Cloud]], n: int) -> tuple[Array, Array, Array, Array]:
    """One mixture a chain over rates and stories: weight, rate, wear and its variance."""
    top = np.full(n, -np.inf)
    for here, log_weight, _ in parts:
        top[here] = np.maximum(top[here], log_weight)
    columns = BULK_NODES * len(parts)
    weight, rate, wear, var = np.zeros((n, columns)), np.zeros((n, columns)), *np.zeros((2, n, columns))
    for k, (here, log_weight, cloud) in enumerate(parts):
        block = np.ix_(here, np.arange(k * BULK_NODES, (k + 1) * BULK_NODES))
        weight[block] = cloud.weight * np.exp(log_weight - top[here])[:, None]
        rate[block], wear[block], var[block] = cloud.rate, cloud.wear, cloud.wear_var
    weight /= weight.sum(axis=1)[:, None]
    # Where a story was left out stand ordinary figures without weight, so that no search for quantiles is stretched.
    usual = (weight * rate).sum(axis=1)[:, None]
    out = rate == 0.0
    return weight, np.where(out, usual, rate), np.where(out, 0.5, wear), np.where(out, 0.01, var)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Km at the last reading and since the one before, relative doubt of that; growth of the last instrument's bias."""

    at: Array
    km: Array
    share: Array
    growth: Array
    per_unit: Array  # percent


def _last_stretch(lines: ChainLines, way: Way, rows: NDArray[np.intp], growth: Array) -> _Stretch:
    last = np.maximum(lines.readings[rows] - 1, 0)
    at = way.at[rows, last]
    before = np.where(last > 0, way.at[rows, np.maximum(last - 1, 0)], 0.0)
    gauge = np.maximum(lines.gauge[rows, last], 0)
    own = growth[np.arange(len(rows)), gauge]
    return _Stretch(at, at - before, way.share[rows, last], own, lines.limit[rows] - NEW)


def _same_and_new(fleet: Fleet, whole: Cloud, known: LearnedChains, stretch: _Stretch) -> tuple[Array, Array]:
    """Log evidence of all readings under the record, and with the last one on a chain fitted since the one before."""
    last = fleet.low.shape[1] - 1
    n = len(fleet)
    if last < 1:
        return np.zeros(n), np.zeros(n)
    short = replace(fleet, low=fleet.low.copy(), high=fleet.high.copy())
    # Without the last reading: open at both ends is no reading.
    short.low[:, last], short.high[:, last] = -np.inf, np.inf
    earlier, _ = filter_fleet(short, BULK_NODES)
    state = fleet.through[:, last, 1:].argmax(axis=1) + 1
    bias, bias_sd = _bias(earlier, state)
    part_sigma = fleet.sigma * known.part_share
    # A new chain is on the first stretch of its bend, not bedded in, its rollers tight: counted from its own fitting.
    since, tuning = since_fitting(stretch.km), known.tuning
    use = bent(since, tuning.bend)
    at = stretch.at[:, None]
    other = not_yet_run_in(since, tuning) - not_yet_run_in(at, tuning)
    other = (other + stretch.growth[:, None] * (at - since) / 1000) / stretch.per_unit[:, None]
    fresh = evidence_on_new_part(
        rate_of_next(earlier, fleet.mu, fleet.sigma, part_sigma),
        np.stack([fleet.mean[:, 0], bias], axis=1),
        np.stack([fleet.sd[:, 0], bias_sd], axis=1),
        (use, (stretch.share[:, None] * use) ** 2),
        (fleet.low[:, last, None] + other, fleet.high[:, last, None] + other),
        fleet.gauge_sd[:, last],
        fleet.noise,
        fleet.misread,
    )
    return whole.evidence, earlier.evidence + fresh


def _bias(cloud: Cloud, state: NDArray[np.intp]) -> tuple[Array, Array]:
    """Mean and sd of one instrument's bias, a chain, as known by then."""
    mean, sd = np.zeros(len(state)), np.full(len(state), 1e-4)
    for k in np.unique(state):
        rows = np.flatnonzero(state == k)
        weight, here, var = cloud.weight[rows], cloud.mean[k][rows], cloud.cov[k][k][rows]
        mean[rows] = (weight * here).sum(axis=1)
        sd[rows] = np.sqrt((weight * (var + (here - mean[rows][:, None]) ** 2)).sum(axis=1))
    return mean, sd
