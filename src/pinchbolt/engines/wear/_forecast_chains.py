"""Forecast of many chains: quantiles of the distance still to go, chance of being past, odds for the chain on record."""

from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wear._batch import ONE_BY_ONE, Batch, foretell, over
from pinchbolt.engines.wear._batch import Progress as Telling
from pinchbolt.engines.wear._chain_batch import ChainBelief, base_mu, chain_batch
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._guard import LEAST_OF_NODE
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.engines.wear._lines import DRIFTED, FURTHER_OFF, ChainLines, Kind, LearnedChains
from pinchbolt.engines.wear._normal import integral, probit
from pinchbolt.engines.wear._one import bent, unbent
from pinchbolt.engines.wear._scale import Array

LEVELS = (0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975)
# Roads are told to this, in median lives, and by what weighs more than that. The chance of being past the limit goes by all, as
# for one part.
PRECISION, LEAST_OF_ROAD = 3e-4, 3e-5
_NONE = Kind("none", 0.0, 0.0, 0.03)


@dataclass(frozen=True, slots=True)
class ChainForecasts:
    """A row a chain: km to the limit at `levels` (below 0 = passed that far back), chance of being past it at the last
    reading, odds (to 1) that the last reading is of the chain on record (nan: fewer than two readings), chance that it runs
    on a gear hub, chance that the last reading was a slip."""

    levels: tuple[float, ...]
    to_limit_km: Array
    chance_past_limit: Array
    odds_same: Array
    like_hub: Array
    slip: Array


def forecast_chains(
    lines: ChainLines,
    shops: tuple[str, ...],
    known: LearnedChains,
    *,
    levels: tuple[float, ...] = LEVELS,
    told: Telling | None = None,
) -> ChainForecasts:
    """Return how far each chain still goes as of its last reading, and whether it is the one on record.

    The law of `judge`, guard and all; what an instrument may be (plain, or pushing the rollers) is carried as stories with
    weights, each weighed by how well the chain's readings fit it.

    Args:
        lines: Chains. [km, percent]
        shops: Name of each workshop number in *lines*. [-]
        known: What is believed of chains, of the trade or learned. [km, percent]
        levels: Chances at which quantiles are wanted. [-]
        told: Called with the share done, 0 to 1. [-]

    Returns:
        Quantiles of the distance to the limit, chance of being past it, odds. [km, -, -]

    Valid for: Chains as of their last reading, or of their closing at the bench where that came later.

    Source: docs/methods/wear.md.
    """
    ready = chain_batch(lines, known, known.tuning, stories(lines, shops, known))
    asked = integral(known.width * probit(np.array(levels)))
    left, figures = foretold(ready.batch, asked, told)
    bend, now = known.tuning.bend, ready.now
    to_limit = unbent(bent(now, bend)[:, None] + left, bend) - now[:, None] if bend != 1.0 else left
    past = figures[:, 0]
    if known.width != 1.0:
        past = np.where((past <= 0) | (past >= 1), past, integral(probit(past) / known.width))
    return ChainForecasts(levels, to_limit, past, np.exp(figures[:, 1]), figures[:, 2], figures[:, 3])


def foretold(batch: Batch, levels: Array, told: Telling | None = None) -> tuple[Array, Array]:
    """Return use to the limit (parts x levels) and figures of a batch, as `foretell` fills them."""
    n = len(batch.mu)
    quantiles, figures = np.zeros((n, len(levels))), np.zeros((n, 4))
    run = compiled()[0] if n > ONE_BY_ONE else foretell
    least = LEAST_OF_NODE if run is foretell else LEAST_OF_ROAD
    over(n, lambda a, b: run(batch, a, b, NODES, levels, least, PRECISION, quantiles, figures), told)
    return quantiles, figures


def stories(lines: ChainLines, shops: tuple[str, ...], known: LearnedChains) -> ChainBelief:
    """What is believed of each chain before its readings: its workshop's level, and what its instruments may be."""
    own = [known.shop(name) for name in shops]
    level = np.array([s.level for s in own])[lines.shop, lines.use]
    level_sd = np.array([s.level_sd for s in own])[lines.shop, lines.use]
    # Workshops that are not on record share one table: each is put into numbers once.
    number = {kinds: k for k, kinds in enumerate(dict.fromkeys(s.kinds for s in own))}
    plain = np.array(
        [[[(k.weight, k.bias, k.bias_sd) for k in (*each, _NONE)[:2]] for each in one] for one in number]
    )
    table = plain[[number[s.kinds] for s in own]]
    together = np.array([s.together for s in own])[:, None, None]
    table[..., 1] += FURTHER_OFF * together
    table[..., 2] = np.hypot(table[..., 2], DRIFTED * together)
    return ChainBelief(
        base_mu(lines, known) + level, np.hypot(known.tuning.spread, level_sd), table[lines.shop]
    )
