"""Intervals of chains in bulk against the lives that taught them: a width is found, and it narrows what is stated."""

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import pinchbolt
from pinchbolt.engines.wear import forecast_chains, learn_chains, trade_chains
from pinchbolt.engines.wear._lines_width import _fitted, width_of
from ratios.score_wear import chain_lines, some
from ratios.wear_lives import lives, workshops

PRIORS = tomllib.loads(
    (Path(pinchbolt.__file__).parent / "reference/tables/wear-priors.toml").read_text("utf-8")
)
TRADE = trade_chains(PRIORS)


@pytest.mark.parametrize("true", [0.85, 1.0, 1.2])
def test_a_width_is_found_though_distances_are_in_doubt_and_some_chains_are_open(true: float) -> None:
    """Source: drawn from what is to be found: probits of sd *true*, blurred, a third cut off where nobody looked further."""
    g = np.random.default_rng(5)
    doubt = g.uniform(0.0, 0.6, 6000)
    at = g.normal(0.0, np.hypot(true, doubt))
    seen_until = np.where(g.random(6000) < 0.33, g.normal(0.0, 0.7, 6000), np.inf)
    still = at > seen_until
    found = _fitted(np.where(still, seen_until, at), doubt, still, np.ones(6000))
    assert 0.1 < still.mean() < 0.3
    assert found == pytest.approx(true, rel=0.03)


def test_few_lives_hardly_move_the_width() -> None:
    """Three lives far outside their intervals are no law: the width stays within a fifth of 1."""
    found = _fitted(np.array([2.5, -2.5, 2.5]), np.zeros(3), np.zeros(3, bool), np.ones(3))
    assert 1.0 < found < 1.2
    nothing = np.zeros(0)
    assert _fitted(nothing, nothing, nothing.astype(bool), nothing) == pytest.approx(1.0, abs=1e-3)


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
    """A belief with twice the spread of lives states intervals that hold too much: the width found is well below 1."""
    g = np.random.default_rng(9)
    drawn = lives(workshops(900, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    lines = chain_lines(some(drawn, slice(0, 900)), closing=True)
    too_wide = replace(TRADE, tuning=replace(TRADE.tuning, spread=2 * TRADE.tuning.spread, noise=600.0))
    assert width_of(lines, shops, too_wide) < 0.9
    assert width_of(lines, shops, too_wide) < width_of(lines, shops, TRADE)


def test_what_was_learned_of_the_width_is_kept_in_the_file() -> None:
    """The file says it by name, and reads back the same."""
    g = np.random.default_rng(10)
    drawn = lives(workshops(300, g), g)
    shops = tuple(str(k) for k in range(len(drawn.of.bias)))
    known = learn_chains(chain_lines(drawn, closing=True), shops, TRADE)
    assert 0.7 < known.width < 1.2
    assert known.width != 1.0
    assert type(known).from_plain(known.as_plain()) == known
