"""The method's bars, small and seeded; `python -m ratios.wear` runs them in full. Bounds: the bar plus three standard errors."""

from math import sqrt

import numpy as np
import pytest

from ratios.wear import (
    LEVELS,
    VISITS,
    area_under_curve,
    calibration,
    cover,
    errors,
    reliability,
    remaining,
    safety_calls,
    same_part_odds,
    sound_so_far,
    with_earlier_chain,
)
from ratios.wear_fleet import learned
from ratios.wear_lives import lives, workshops

N = 1500


@pytest.fixture(scope="module")
def life():
    """1,500 chains of fifteen workshops, drawn once."""
    g = np.random.default_rng(31)
    return lives(workshops(N, g, shop_sd=0.15), g)


@pytest.fixture(scope="module")
def fit():
    """Priors learned from 1,000 other chains."""
    g = np.random.default_rng(32)
    return learned(lives(workshops(1000, g, shop_sd=0.15), g), VISITS)


@pytest.mark.parametrize("seen", [1, 4])
def test_intervals_hold_as_often_as_they_say(life, fit, seen):
    """Cover 48-54 / 78-83 / 94-97 %, plus three standard errors of this many chains."""
    found = cover(life, seen, remaining(life, seen, LEVELS, fit))
    n = len(sound_so_far(life, seen))
    for share, (least, most) in zip(found, ((0.48, 0.54), (0.78, 0.83), (0.94, 0.97)), strict=True):
        doubt = 3 * sqrt(share * (1 - share) / n)
        assert least - doubt < share < most + doubt


@pytest.mark.parametrize(("seen", "bar"), [(1, 0.68), (2, 0.62), (4, 0.54)])
def test_the_forecast_beats_a_flat_distance(life, fit, seen, bar):
    """Error over that of 'every chain lasts 3,000 km'. Workshops differ: fifteen of them leave 0.04 of play."""
    assert errors(life, seen, remaining(life, seen, np.array([0.5]), fit)[:, 0])["flat"] < bar + 0.04


def test_an_earlier_chain_of_the_bike_helps():
    """Error over flat with one earlier chain of the bike: at most 0.58 / 0.54 / 0.49, with the same play."""
    found = with_earlier_chain(33, N)
    assert all(found[k] < bar + 0.04 for k, bar in ((1, 0.58), (2, 0.54), (4, 0.49)))


def test_the_chance_of_passing_before_the_next_visit_is_calibrated(life, fit):
    """Calibration error at most 0.01 and Brier skill at least 0.45; a twentieth of 5,000 looks adds about 0.01."""
    error, skill = calibration(life, fit)
    assert error < 0.01 + 0.01
    assert skill > 0.45 - 0.05


def test_a_changed_chain_is_found():
    """AUC at least 0.92, 0.97 where the reading before was at least 0.5; chances off by at most 0.06."""
    odds, same, before = same_part_odds(34, 2 * N)
    worn = before >= 0.5
    assert area_under_curve(odds, same) > 0.92
    assert area_under_curve(odds[worn], same[worn]) > 0.97
    # A bin of 200 parts has a standard error of 0.035.
    assert reliability(odds, same) < 0.06 + 0.035


def test_safety_parts_are_called_in_time():
    """Called at the 5 % point of remaining km, at most 6.5 % of rotors are too thin on arrival, plus three errors."""
    n = 4000
    assert safety_calls(35, n) < 0.065 + 3 * sqrt(0.065 * 0.935 / n)
