"""The wear forecast by two other ways: a dense grid without Gaussian closure, and quadrature with root finding."""

import numpy as np
import pytest

from pinchbolt.engines.wear._many import filter_fleet, forecast_fleet, in_single
from pinchbolt.engines.wear._predict import passed_by
from ratios.wear import sound_so_far
from ratios.wear_fleet import fleets
from ratios.wear_lives import lives, workshops
from tests.second_way.wear_dense_grid import DenseGrid
from tests.second_way.wear_from_fleet import part_of
from tests.second_way.wear_one_part import SecondWay, quantiles

FEW_PARTS = 8


def some_fleet(seen, seed=8):
    """Chains with one instrument each, after *seen* readings that are all below the limit."""
    g = np.random.default_rng(seed)
    life = lives(workshops(400, g), g)
    _, fleet = next(iter(fleets(life, seen, rows=sound_so_far(life, seen))))
    return fleet.take(slice(0, FEW_PARTS))


@pytest.mark.parametrize("seen", [1, 3])
def test_chances_are_those_of_the_dense_grid(seen):
    """Chance of being past, at nine quantiles of eight chains: median difference 0.01, 95th percentile 0.04; evidence close.

    The bounds are the project's bars for the closure by moments; its bar for the evidence (0.05 on average) is held on
    200 parts by `python -m ratios.wear`, as one chain with contradictory readings outweighs seven others here.
    """
    fleet = some_fleet(seen)
    cloud, _ = filter_fleet(fleet)
    use = forecast_fleet(fleet, np.linspace(0.1, 0.9, 9)).remaining
    mine, _ = passed_by(cloud.weight, cloud.rate, cloud.wear - 1.0, cloud.wear_var, use, fleet.noise)
    grids = [DenseGrid(part_of(fleet, i)) for i in range(FEW_PARTS)]
    off = np.abs(mine - np.array([grid.passed_by(use[i]) for i, grid in enumerate(grids)]))
    assert np.median(off) < 0.01
    assert np.quantile(off, 0.95) < 0.04
    evidence = np.array([abs(cloud.evidence[i] - grid.evidence) for i, grid in enumerate(grids)])
    assert np.median(evidence) < 0.02
    assert evidence.max() < 0.5


def test_quantiles_and_evidence_are_those_of_quadrature():
    """Same filter written again from its equations: the grid of 24 rates against adaptive quadrature.

    A grid step of 0.32 spreads leaves errors well below 1 % of the quantile where the rate is not known much better than that.
    """
    fleet = some_fleet(3)
    mine = forecast_fleet(fleet, np.array([0.1, 0.5, 0.9]), nodes=24, precision=1e-9)
    for i in range(4):
        other = SecondWay(part_of(fleet, i))
        assert mine.evidence[i] == pytest.approx(other.log_evidence, abs=2e-3)
        for k, level in enumerate((0.1, 0.5, 0.9)):
            assert mine.remaining[i, k] == pytest.approx(other.quantile(level), rel=5e-3, abs=2.0)


def test_three_limits_are_those_of_quadrature():
    """Chain marks 0.5, 0.75 and 1 % at once, by the fast way in single precision: within 0.5 % and 3 km of quadrature."""
    fleet = some_fleet(3)
    marks, levels = (0.5 / 0.75, 1.0, 1.0 / 0.75), np.array([0.1, 0.5, 0.9])
    mine = forecast_fleet(in_single(fleet), levels, marks=marks, nodes=24).remaining
    other = quantiles([part_of(fleet, i) for i in range(3)], levels, marks)
    assert mine[:3] == pytest.approx(np.array(other), rel=5e-3, abs=3.0)


def test_single_precision_changes_nothing_that_matters():
    """Quantiles of the bulk run in half the memory: within one km."""
    fleet = some_fleet(4)
    levels = np.array([0.1, 0.5, 0.9])
    double, single = (
        forecast_fleet(fleet, levels).remaining,
        forecast_fleet(in_single(fleet), levels).remaining,
    )
    assert np.abs(double - single).max() < 1.0


def test_quantiles_are_where_the_chance_reaches_their_level():
    """Every quantile put back into the mixture gives its level: none is left unconverged."""
    fleet = some_fleet(5)
    levels = np.array([0.005, 0.05, 0.5, 0.95, 0.995])
    cloud, _ = filter_fleet(fleet)
    use = forecast_fleet(fleet, levels, precision=1e-9).remaining
    chance, _ = passed_by(cloud.weight, cloud.rate, cloud.wear - 1.0, cloud.wear_var, use, fleet.noise)
    assert np.abs(chance - levels).max() < 1e-9
