"""What a workshop's chains say of its instruments: one by one, and all together where new chains read as worn on each."""

from functools import cache

import numpy as np
import pytest

from pinchbolt.engines.wear import INSTRUMENTS, gauges_doubted, learn_chains, trade_chains
from pinchbolt.engines.wear._learn import COMMON_SD, _common_biases, _spread_of_biases, first_belief
from pinchbolt.engines.wear._lines import DRIFTED
from pinchbolt.reference import tables
from ratios.wear import chain_lines
from ratios.wear_lives import READING_SD, lives, workshops

TRADE = trade_chains(tables().wear_priors)
RULE, CALIPER = 0, 1
CALIPER_DRAWN = 3  # among the instruments of drawn lives
THREE_POINT = 2  # in the small belief below: read by few chains, so that only its story is known


def believed(off):
    """Eight workshops with rule, caliper and a gauge that was hardly used: rule and caliper are off by *off* (percent)."""
    belief = first_belief(8, 1, np.zeros(3), np.array([0.025, 0.03, 0.02]))
    belief.one_story[:, 1:] = True
    belief.mean[:, 1 : 1 + CALIPER + 1] = off
    for cov in belief.cov:
        cov[:] = np.diag([0.01, 1e-4, 1e-4, 0.02**2])
    return belief


def test_where_rule_and_caliper_are_off_together_so_is_the_gauge_beside_them():
    """Half of the workshops read 0.10 % too much on both, half too little: of the third instrument that is believed too."""
    sign = np.repeat([1.0, -1.0], 4)
    belief = believed(0.10 * sign[:, None] * np.ones((1, 2)))
    _common_biases(belief)
    usual, var = belief.biases_before()
    assert sign * belief.common == pytest.approx(0.10, abs=0.02)
    assert usual[:, THREE_POINT] == pytest.approx(belief.common)
    # Its own usual spread, and what two instruments of sd 0.025 and 0.03 leave open of what is common.
    left = 1 / (1 / (0.025**2 + 1e-4) + 1 / (0.03**2 + 1e-4))
    assert var[:, THREE_POINT] == pytest.approx(0.02**2 + left, rel=0.05)


def test_instruments_that_are_off_each_its_own_way_say_nothing_of_the_third():
    """Rule 0.04 too much, caliper 0.04 too little, in every workshop: nothing is common, the spread of biases grows instead."""
    belief = believed(np.array([0.04, -0.04]) * np.ones((8, 1)))
    _common_biases(belief)
    assert np.abs(belief.common).max() < COMMON_SD
    _spread_of_biases(belief)
    assert belief.bias_spread > 1.1
    assert belief.prior_sd[0, 1 + THREE_POINT] == pytest.approx(0.02 * belief.bias_spread)


def test_a_workshop_alone_knows_of_nothing_common():
    """One workshop can't tell its gauges from its chains: what is common stays nought."""
    belief = first_belief(1, 1, np.zeros(2), np.array([0.025, 0.03]))
    belief.one_story[:, 1:] = True
    belief.mean[:, 1:] = 0.1
    belief.cov[0] = np.diag([0.01, 1e-4, 1e-4])
    _common_biases(belief)
    assert belief.common[0] == belief.common_var[0] == 0.0


@cache
def taught(odd):
    """360 chains of six workshops, and what they teach."""
    g = np.random.default_rng(19)
    life = lives(workshops(360, g, a_workshop=60), g, odd=odd)
    return life, learn_chains(chain_lines(life, closing="gauge"), tuple("abcdef"), TRADE)


@pytest.mark.parametrize(("odd", "before"), [("", 0.02), ("drift", 0.05)])
def test_a_bias_is_as_sure_as_it_stays_the_same_from_chain_to_chain(odd, before):
    """How far calipers were off in truth, reading by reading, less the noise of a reading: the doubt that a forecast takes of
    them is no less, and not much more. Gauges that drift are off by 0 to 0.15 % at one workshop: the mean alone is half of it.
    """
    life, known = taught(odd)
    true, doubt = [], []
    for s, shop in enumerate(known.shops.values()):
        seen = (life.gauge == CALIPER_DRAWN) & (life.of.shop == s)[:, None]
        off = (life.low - life.wear)[seen]
        true.append(max(off.var() - READING_SD[CALIPER_DRAWN] ** 2, 0.0))
        doubt.append(
            shop.kinds[INSTRUMENTS.index("vernier")][0].bias_sd ** 2 + (DRIFTED * shop.together) ** 2
        )
    assert np.sqrt(np.mean(true)) == pytest.approx(before, abs=0.02)
    assert 0.8 < np.sqrt(np.mean(doubt) / max(np.mean(true), 0.02**2)) < 1.7


def test_gauges_that_drift_are_named_and_go_no_go_gauges_with_them():
    """Gauges that drift in pairs of workshops: 'check the gauge' is said; go/no-go gauges, which show nothing of a new chain,
    are off the same way as rule and caliper; elsewhere next to nothing is named."""
    named, off = [], []
    for odd in ("", "drift"):
        _, known = taught(odd)
        off.append(
            [[max(kinds, key=lambda k: k.weight).bias for kinds in s.kinds] for s in known.shops.values()]
        )
        named.append(gauges_doubted(known))
    assert len(named[0]) <= 1 < len(named[1])
    assert all(one.words.endswith("is usual: check the gauge.") for one in named[1])
    three_point, rule, caliper = np.array(off[1])[:, 1:].T
    clearly = np.abs(rule + caliper) > 0.08
    assert clearly.sum() >= 3
    assert (np.sign(three_point) == np.sign(rule + caliper))[clearly].all()
    assert np.abs(np.array(off[0])[:, 1]).mean() < 0.5 * np.abs(three_point).mean()
