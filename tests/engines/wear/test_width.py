"""Intervals of chains in bulk against the lives that taught them: a width is found, and it narrows what is stated."""

from dataclasses import replace

import numpy as np
import pytest

from pinchbolt.engines.wear import ChainLines, forecast_chains, learn_chains, trade_chains
from pinchbolt.engines.wear._chain_batch import way_of
from pinchbolt.engines.wear._width import _fitted, _stated, width_of
from pinchbolt.reference import tables
from ratios.wear import chain_lines
from ratios.wear_lives import lives, workshops

PRIORS = tables().wear_priors
TRADE = trade_chains(PRIORS)


@pytest.mark.parametrize("true", [0.85, 1.0, 1.2])
def test_a_width_is_found_though_lives_end_between_two_looks(true: float) -> None:
    """Source: drawn from what is to be found: probits of sd *true*, seen from look to look, a third cut off."""
    g = np.random.default_rng(5)
    at = g.normal(0.0, true, 6000)
    look = g.uniform(0.2, 0.8, 6000)
    low = np.floor(at / look) * look
    still = at > np.where(g.random(6000) < 0.33, g.normal(0.0, 0.7, 6000), np.inf)
    found = np.exp(
        _fitted(np.where(still, np.minimum(low, 0.5), low), np.where(still, 9.0, low + look), np.ones(6000))
    )
    assert 0.1 < still.mean() < 0.3
    assert found == pytest.approx(true, rel=0.06)


def test_few_lives_hardly_move_the_width() -> None:
    """Three lives far outside their intervals are no law: the width stays within a fifth of 1."""
    found = np.exp(_fitted(np.array([2.4, -2.6, 2.4]), np.array([2.6, -2.4, 2.6]), np.ones(3)))
    assert 1.0 < found < 1.2
    nothing = np.zeros(0)
    assert np.exp(_fitted(nothing, nothing, nothing)) == pytest.approx(1.0, abs=1e-3)


def test_a_width_draws_the_intervals_in_round_the_median() -> None:
    """Half the width: 97.5 % is said where 83.6 % was; the median stays, and so does the side of the limit."""
    g = np.random.default_rng(8)
    drawn = lives(workshops(60, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    lines = chain_lines(drawn, 2)
    plain = forecast_chains(lines, shops, TRADE, levels=(0.1635935, 0.5, 0.8364065))
    drawn_in = forecast_chains(lines, shops, replace(TRADE, width=0.5), levels=(0.025, 0.5, 0.975))
    assert drawn_in.to_limit_km == pytest.approx(plain.to_limit_km, rel=2e-3, abs=5.0)
    assert drawn_in.levels == (0.025, 0.5, 0.975)
    side = np.sign(plain.chance_past_limit - 0.5)
    assert (np.sign(drawn_in.chance_past_limit - 0.5) == side).all()
    assert (np.abs(drawn_in.chance_past_limit - 0.5) >= np.abs(plain.chance_past_limit - 0.5) - 1e-9).all()


def test_chains_that_wear_more_evenly_than_believed_narrow_what_is_stated() -> None:
    """A belief with twice the spread of lives states intervals that hold too much: the width found is below 1."""
    g = np.random.default_rng(9)
    drawn = lives(workshops(900, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    lines = chain_lines(drawn, closing="bench")
    too_wide = replace(TRADE, tuning=replace(TRADE.tuning, spread=2 * TRADE.tuning.spread, noise=600.0))
    assert width_of(lines, shops, too_wide) < 0.95
    assert width_of(lines, shops, too_wide) < width_of(lines, shops, TRADE)


def test_a_width_is_taken_from_the_bench_and_kept_in_the_file() -> None:
    """The file says it by name, and reads back the same. That closings by the gauge give none is asked where such are learned."""
    g = np.random.default_rng(10)
    drawn = lives(workshops(150, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    bench = learn_chains(chain_lines(drawn, closing="bench"), shops, TRADE)
    assert 0.8 < bench.width < 1.2
    assert bench.width != 1.0
    assert type(bench).from_plain(bench.as_plain()) == bench


def test_distances_that_nobody_stated_say_nothing_of_the_width() -> None:
    """Six in ten distances missing: closings lie nobody knows how far on. Before, that was taken for wear that is less even."""
    found = []
    for odd in ("", "missing km"):
        g = np.random.default_rng(11)
        drawn = lives(workshops(900, g), g, odd=odd)
        shops = tuple(str(k) for k in range(len(drawn.of.bias)))
        found.append(width_of(chain_lines(drawn, closing="bench"), shops, TRADE))
    assert found[1] == pytest.approx(found[0], abs=0.05)


def test_the_doubt_of_a_stated_distance_is_no_width() -> None:
    """The same lives, each distance said up to a third too long or too short, and the law told so: the width stays."""
    g = np.random.default_rng(12)
    drawn = lives(workshops(900, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    said = np.exp(0.3 * g.normal(size=(900, 1)))
    unsure = replace(drawn, stated=drawn.stated * said)
    doubted = replace(TRADE, tuning=replace(TRADE.tuning, share=0.32))
    exact = width_of(chain_lines(drawn, closing="bench"), shops, TRADE)
    assert width_of(chain_lines(unsure, closing="bench"), shops, doubted) < exact + 0.02


def test_a_chain_is_followed_to_the_first_distance_that_nobody_stated() -> None:
    """Three readings at 400, 900 and 1,500 km; where the third stretch was not stated it is followed to 900 km."""
    km = np.array([[400.0, 500.0, 600.0], [400.0, 500.0, np.nan], [np.nan, 500.0, 600.0]])
    lines = ChainLines(
        shop=np.zeros(3, int), use=np.ones(3, int), limit=np.full(3, 0.75), closed=np.full(3, np.nan), km=km,
        days=np.full((3, 3), 60.0), gauge=np.full((3, 3), 3), low=np.full((3, 3), 0.3), high=np.full((3, 3), 0.3),
        passed_after=np.full(3, np.nan), bench=np.zeros(3, bool), hub=np.zeros(3, bool), start=np.zeros(3, int),
    )  # fmt: skip
    count, reached = _stated(lines, way_of(lines, TRADE, 0.12))
    assert count.tolist() == [3, 2, 0]
    assert reached.tolist() == [1500.0, 900.0, 0.0]
