"""The method's bars, small and seeded; `make score-wear` runs them in full. Bounds: the bar plus three standard errors."""

from math import sqrt

import numpy as np
import pytest

from pinchbolt.engines.wear import forecast_chains, learn_chains, trade_chains
from pinchbolt.reference.loader import tables
from ratios.score_wear import same_chain_odds
from ratios.wear import area_under_curve, chain_lines, cover, errors, reliability, safety_calls, sound_so_far
from ratios.wear_lives import lives, workshops

N, TAUGHT = 2500, 1000


@pytest.fixture(scope="module")
def drawn():
    """2,500 chains of twenty-five workshops, and what the first 1,000 of them taught, closed as their gauges found them."""
    g = np.random.default_rng(31)
    of = workshops(N, g)
    life = lives(of, g)
    shops = tuple(map(str, range(len(of.bias))))
    known = learn_chains(
        chain_lines(life, closing="gauge").take(np.arange(TAUGHT)), shops, trade_chains(tables().wear_priors)
    )
    return life, shops, known


@pytest.mark.parametrize(("seen", "bar"), [(1, 0.70), (2, 0.64), (4, 0.56)])
def test_intervals_hold_what_they_say_and_the_median_beats_a_flat_distance(drawn, seen, bar):
    """Cover 46-54 / 76-84 / 92.5-97 %, plus three standard errors; error over that of 'every chain lasts 3,000 km'."""
    life, shops, known = drawn
    found = forecast_chains(chain_lines(life, seen), shops, known).to_limit_km[sound_so_far(life, seen)]
    n = len(found)
    for share, (least, most) in zip(
        cover(life, seen, found), ((0.46, 0.54), (0.76, 0.84), (0.925, 0.97)), strict=True
    ):
        doubt = 3 * sqrt(share * (1 - share) / n)
        assert least - doubt < share < most + doubt
    assert errors(life, seen, found[:, 3])["flat"] < bar


def test_closings_by_the_gauge_give_no_width(drawn):
    """They would widen what is stated by the gauge's own error."""
    assert drawn[2].closed > 100
    assert drawn[2].width == 1.0


def test_a_changed_chain_is_found(drawn):
    """AUC at least 0.92, 0.97 where the reading before was at least 0.5; chances off by at most 0.06."""
    life, shops, known = drawn
    odds, same, before = same_chain_odds(life, shops, known, np.random.default_rng(34), half=True)
    worn = before >= 0.5
    assert area_under_curve(odds, same) > 0.92
    assert area_under_curve(odds[worn], same[worn]) > 0.96
    # A bin of 200 parts has a standard error of 0.035.
    assert reliability(odds, same) < 0.06 + 0.035


def test_safety_parts_are_called_in_time():
    """Called at the 5 % point of remaining km, at most 6.5 % of rotors are too thin on arrival, plus three errors."""
    n = 4000
    assert safety_calls(35, n) < 0.065 + 3 * sqrt(0.065 * 0.935 / n)
