"""The wear law by two other ways: a dense grid without Gaussian closure, and quadrature with root finding."""

import numpy as np
import pytest

from pinchbolt.engines.wear import trade_chains
from pinchbolt.engines.wear._batch import part_at
from pinchbolt.engines.wear._filter import read, until_last
from pinchbolt.engines.wear._guard import Stack, passed
from pinchbolt.engines.wear._hunt import Law, chance_of, grid_of, use_at
from pinchbolt.reference.loader import tables
from ratios.wear import sound_so_far
from ratios.wear_lives import lives, workshops
from tests.second_way.wear_dense_grid import DenseGrid
from tests.second_way.wear_from_batch import part_of, plain_chains
from tests.second_way.wear_one_part import SecondWay

FEW_PARTS = 8
TRADE = trade_chains(tables().wear_priors)


def some_parts(seen, seed=8):
    """Chains after *seen* readings that are all below the limit."""
    g = np.random.default_rng(seed)
    life = lives(workshops(400, g), g)
    rows = sound_so_far(life, seen)
    one_gauge = (life.gauge[rows, :seen] == life.gauge[rows, :1]).all(axis=1)
    return plain_chains(life, seen, TRADE, rows[one_gauge][:FEW_PARTS])


def unguarded(batch, i, nodes):
    """The law of part *i* as its readings leave it, before the guard, and the log evidence of them."""
    part = part_at(batch, i)
    cloud, slipped, evidence, _, _ = until_last(part, nodes)
    cloud, _, more = read(part, cloud, len(part.low) - 1, slipped)
    first = np.array([0, len(cloud.weight)])
    stack = Stack(
        cloud.weight, cloud.rate, cloud.mean[0], cloud.cov[0, 0], first, np.full(1, -np.inf), 1.0, 1.0,
        part.noise, part.slow_sd, part.slow_use, part.ahead,
    )  # fmt: skip
    return Law(stack, None, stack, 0.0, float(np.exp(-part.mu))), evidence + more


def quantiles(law, levels):
    """Use to the limit at *levels*."""
    grid = grid_of(law)
    return use_at(
        law, np.ones(1), np.array(levels), grid, chance_of(law, np.ones(len(grid)), grid)[None], 1e-9
    )[0]


@pytest.mark.parametrize("seen", [1, 3])
def test_chances_are_those_of_the_dense_grid(seen):
    """Chance of being past, at nine quantiles of eight chains: median difference 0.01, 95th percentile 0.04; evidence close.

    The bounds are the project's bars for the closure by moments.
    """
    batch = some_parts(seen)
    off, evidence = [], []
    for i in range(FEW_PARTS):
        law, found = unguarded(batch, i, 24)
        use = quantiles(law, np.linspace(0.1, 0.9, 9))
        grid = DenseGrid(part_of(batch, i))
        off.append(np.abs(passed(law.stack, np.ones(9), use) - grid.passed_by(use)))
        evidence.append(abs(found - grid.evidence))
    assert np.median(off) < 0.01
    assert np.quantile(off, 0.95) < 0.04
    assert np.median(evidence) < 0.02
    assert max(evidence) < 0.5


def test_quantiles_and_evidence_are_those_of_quadrature():
    """Same filter written again from its equations: the grid of rates against adaptive quadrature.

    A grid step of 0.3 spreads leaves errors well below 1 % of the quantile where the rate is not known much better than that.
    """
    batch = some_parts(3)
    for i in range(4):
        law, evidence = unguarded(batch, i, 40)
        other = SecondWay(part_of(batch, i))
        assert evidence == pytest.approx(other.log_evidence, abs=2e-3)
        for mine, level in zip(quantiles(law, (0.1, 0.5, 0.9)), (0.1, 0.5, 0.9), strict=True):
            assert mine == pytest.approx(other.quantile(level), rel=5e-3, abs=2.0)


def test_quantiles_are_where_the_chance_reaches_their_level():
    """Every quantile put back into the law gives its level: none is left unconverged."""
    batch, levels = some_parts(5), np.array([0.005, 0.05, 0.5, 0.95, 0.995])
    for i in range(FEW_PARTS):
        law, _ = unguarded(batch, i, 24)
        assert np.abs(chance_of(law, np.ones(5), quantiles(law, levels)) - levels).max() < 1e-8
