"""Chains in bulk: the same answer as one at a time, what a workshop teaches, gauges that are not what they are called."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.wear import (
    STARTS,
    ChainLines,
    GaugeError,
    GaugeReading,
    LearnedChains,
    RateOfUse,
    WearLaw,
    forecast_chains,
    judge,
    learn_chains,
    same_part,
    trade_chains,
)
from pinchbolt.engines.wear import _batch as batch_module
from pinchbolt.engines.wear._batch import part_at
from pinchbolt.engines.wear._chain_batch import chain_batch
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._filter import until_last
from pinchbolt.engines.wear._forecast_chains import PRECISION, stories
from pinchbolt.engines.wear._guard import LEAST_OF_NODE
from pinchbolt.engines.wear._hunt import chance_of, law_of
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.errors import InputRefused
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict
from ratios.wear import chain_lines, sound_so_far
from ratios.wear_lives import lives, workshops

PRIORS = tables().wear_priors
TRADE = trade_chains(PRIORS)
MIXED = WearLaw(
    "c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
    Verdict.NEXT_VISIT, False, "common practice, no source", noise=120, slow_use=500,
)  # fmt: skip


def one_chain(
    *readings: tuple[float, int, float, float],
    closed: float = np.nan,
    after: float = np.nan,
    bench: bool = False,
) -> ChainLines:
    """A mixed-use chain of workshop 0: km since the reading before, instrument, low, high."""
    km, gauge, low, high = (np.array([list(one)], dtype=float) for one in zip(*readings, strict=True))
    return ChainLines(
        shop=np.array([0]), use=np.array([1]), limit=np.array([0.75]), closed=np.array([closed]),
        km=km, days=np.full(km.shape, 30.0), gauge=gauge.astype(int), low=low, high=high,
        passed_after=np.array([after]), bench=np.array([bench]), hub=np.array([False]), start=np.array([STARTS.index("told")]),
    )  # fmt: skip


def test_a_chain_in_bulk_gets_the_forecast_it_gets_alone():
    """Two rule readings: quantiles within 3 % of the median life of those of `judge`, whose grid is twice as fine."""
    lines = one_chain((900.0, 2, 0.25, 0.25), (800.0, 2, 0.42, 0.42))
    known = replace(TRADE, tuning=replace(TRADE.tuning, share=0.15))
    found = forecast_chains(lines, ("0",), known, levels=(0.1, 0.25, 0.5, 0.75, 0.9)).to_limit_km[0]
    rule, start = GaugeError(0.0, 0.025, 0.08), date(2030, 1, 1)
    readings = [
        GaugeReading(start + timedelta(days=30 * k), Interval(v, v), "rule", rule, km, 0.15)
        for k, (km, v) in enumerate([(900.0, 0.25), (1700.0, 0.42)])
    ]
    alone = judge(MIXED, readings, RateOfUse(70, 0.5), readings[-1].day, exposure_now=1700.0).to_limit
    expected = [alone.wide.low, alone.half.low, alone.median, alone.half.high, alone.wide.high]
    assert found == pytest.approx(expected, abs=0.03 * 3000)


def test_odds_in_bulk_are_those_of_the_one_part_question():
    """Caliper 0.55 then 0.12: hundreds to one for a new chain, within a factor of 1.5 of `same_part`."""
    lines = one_chain((2200.0, 3, 0.55, 0.55), (800.0, 3, 0.12, 0.12))
    known = replace(TRADE, tuning=replace(TRADE.tuning, share=0.15))
    found = forecast_chains(lines, ("0",), known).odds_same[0]
    caliper, start = GaugeError(0.0, 0.03, 0.03), date(2030, 1, 1)
    readings = [
        GaugeReading(start, Interval(0.55, 0.55), "caliper", caliper, 2200.0, 0.15),
        GaugeReading(start + timedelta(days=90), Interval(0.12, 0.12), "caliper", caliper, 3000.0, 0.15),
    ]
    assert found < 0.02
    assert 1 / 1.5 < found / same_part(MIXED, readings, RateOfUse(70, 0.5)).odds_same < 1.5


def test_a_gauge_that_pushes_the_rollers_says_less_of_wear():
    """The same 'between 0.5 and 0.75' leaves more km where the workshop's gauge is known to push the rollers."""
    lines = one_chain((1500.0, 0, 0.5, 0.75))
    plain, pushing = (_shop_with(kind) for kind in ("plain", "pushing"))
    left = [forecast_chains(lines, ("0",), known).to_limit_km[0, 3] for known in (plain, TRADE, pushing)]
    assert left[0] < left[1] < left[2]


def _shop_with(kind: str) -> LearnedChains:
    own = TRADE.shop("0")
    two_point = tuple(replace(k, weight=1.0 if k.name == kind else 0.0) for k in own.kinds[0])
    return replace(TRADE, shops={"0": replace(own, kinds=(two_point, *own.kinds[1:]))})


def test_a_chain_measured_at_the_bench_is_past_its_limit():
    """Not past at 2,300 km and past at 2,500, measured off the bike: its life ended in between, whatever was read before."""
    found = forecast_chains(
        one_chain((1000.0, 2, 0.3, 0.3), closed=2500.0, after=2300.0, bench=True), ("0",), TRADE
    )
    assert found.chance_past_limit[0] > 0.7
    assert -260 < found.to_limit_km[0, 3] < 0


def test_a_chain_measured_at_the_bench_and_not_past_yet_says_so():
    """A rule shows 0.74 % at 2,400 km; off the bike it was measured there and was not past: the chance of that falls to a third.

    Where only those that passed were heard, learning took gauges to show less than they do, and called chains past too often.
    """
    seen = (1000.0, 2, 0.3, 0.3), (1400.0, 2, 0.74, 0.74)
    alone, measured = (
        forecast_chains(one_chain(*seen, after=at, bench=True), ("0",), TRADE) for at in (np.nan, 2400.0)
    )
    assert alone.chance_past_limit[0] > 0.25
    assert measured.chance_past_limit[0] < alone.chance_past_limit[0] / 3


def test_a_closing_by_the_gauge_adds_nothing_to_its_reading():
    """The reading that found it past is in already: used again as if the wear were known, lives came out wrong."""
    seen = (1000.0, 2, 0.3, 0.3), (1400.0, 1, 0.75, np.inf)
    alone, closed = (forecast_chains(one_chain(*seen, closed=c), ("0",), TRADE) for c in (np.nan, 2400.0))
    assert closed.to_limit_km == pytest.approx(alone.to_limit_km)


def test_no_reading_leaves_what_such_chains_do():
    """Without a reading the median is the trade's life and no odds are given."""
    empty = one_chain((0.0, 2, 0.0, 0.0))
    empty.gauge[:] = -1
    found = forecast_chains(empty, ("0",), TRADE)
    assert found.to_limit_km[0, 3] == pytest.approx(3000, rel=0.03)
    assert np.isnan(found.odds_same[0])


@pytest.fixture(scope="module")
def fleet():
    """600 drawn chains of two workshops, their class lives a fifth and more off the trade's."""
    g = np.random.default_rng(5)
    of = workshops(600, g)
    life = lives(of, g)
    lines = chain_lines(life, closing="bench")
    shop = np.arange(600) % 2
    # The second workshop's chains last 30 % less: its distances are counted so.
    short = shop == 1
    lines.km[short] *= 0.7
    lines.closed[short] *= 0.7
    lines.passed_after[short] *= 0.7
    return life, replace(lines, shop=shop)


@pytest.fixture(scope="module")
def taught(fleet):
    """What all six hundred taught."""
    return learn_chains(fleet[1], ("a", "b"), TRADE)


def test_a_workshop_teaches_its_own_level(fleet, taught):
    """Of two workshops, the one whose chains last 30 % less is found so: log 0.7 = -0.36 apart, within 0.12."""
    (_, lines), known = fleet, taught
    levels = np.array([known.shops[name].level for name in ("a", "b")])
    apart = (levels[1] - levels[0]) @ np.bincount(lines.use, minlength=5) / len(lines)
    assert apart == pytest.approx(-np.log(0.7), abs=0.12)
    assert LearnedChains.from_plain(known.as_plain()) == known


def test_spread_and_bend_of_lives_are_found_again(taught):
    """Drawn with a spread of 0.46 (family, bike, chain and six workshops in two) and a bend of 1.06: within 0.06 and 0.10.

    600 chains fix the spread to about 0.46 / sqrt(1200) = 0.013; what is left is how unevenness and workshops share it out.
    """
    tuning = taught.tuning
    assert tuning != TRADE.tuning
    assert tuning.spread == pytest.approx(0.46, abs=0.06)
    assert tuning.bend == pytest.approx(1.06, abs=0.10)
    # What lies ahead is less sure by what the rate was seen to change by from some hundred km to the next, and a fifth.
    assert tuning.ahead == pytest.approx(np.hypot(tuning.slow_sd, 0.19))


def test_few_chains_leave_the_trade_s_shared_figures_alone(fleet):
    """Thirty chains teach a level and a bias, and never the spread of lives; 600 teach that too."""
    _, lines = fleet
    few = learn_chains(lines.take(np.arange(30)), ("a", "b"), TRADE)
    # Of the spread, the differences between workshops are levels now: 0.12 as a whole, 0.16 by class.
    within = np.sqrt(TRADE.tuning.spread**2 - 0.12**2 - 0.16**2)
    assert replace(few.tuning, spread=TRADE.tuning.spread) == TRADE.tuning
    assert few.tuning.spread == pytest.approx(within)
    assert few.shops["a"].level != TRADE.shop("a").level
    assert few.width == 1.0


def test_what_is_compiled_is_what_is_written():
    """Sixty drawn chains: quantiles, chances, odds, evidence and slopes of the compiled form are those of the plain one."""
    g = np.random.default_rng(17)
    lines = chain_lines(lives(workshops(60, g), g), closing="bench")
    tuning = replace(TRADE.tuning, ahead=0.1)
    batch = chain_batch(lines, TRADE, tuning, stories(lines, ("0",), TRADE)).batch
    levels, answers = np.array([0.1, 0.5, 0.9]), []
    for foretell, weigh in ((batch_module.foretell, batch_module.weigh), compiled()):
        quantiles, figures, slopes = np.zeros((60, 3)), np.zeros((60, 4)), np.zeros((60, batch.bias.shape[1]))
        evidence, by_rate = np.zeros(60), np.zeros(60)
        foretell(batch, 0, 60, 16, levels, LEAST_OF_NODE, 1e-10, quantiles, figures)
        weigh(batch, 0, 60, 16, evidence, by_rate, slopes)
        answers.append((quantiles, figures, evidence, by_rate, slopes))
    for plain, quick in zip(*answers, strict=True):
        assert quick == pytest.approx(plain, rel=1e-7, abs=1e-7, nan_ok=True)


def test_another_rate_ahead_widens_the_road_and_leaves_the_chain_as_it_is():
    """What lies ahead may wear at another rate: chances of being past now stay, four cases in five take a wider road."""
    lines = one_chain((900.0, 2, 0.25, 0.25), (800.0, 2, 0.42, 0.42))
    same, other = (
        forecast_chains(lines, ("0",), replace(TRADE, tuning=replace(TRADE.tuning, ahead=share)))
        for share in (0.0, 0.9)
    )
    assert other.chance_past_limit[0] == pytest.approx(same.chance_past_limit[0], abs=1e-12)
    near, far = (one.to_limit_km[0, 5] - one.to_limit_km[0, 1] for one in (same, other))
    assert 1.05 * near < far < 1.5 * near


def test_the_more_a_rate_rests_on_readings_the_more_another_one_ahead_counts():
    """A fifth of the share after one reading, a third after two, half after four; a way ahead as it will be stated counts whole."""
    lines = one_chain(
        (900.0, 2, 0.25, 0.25), (800.0, 2, 0.42, 0.42), (400.0, 2, 0.5, 0.5), (300.0, 2, 0.6, 0.6)
    )

    def shares(**tuned):
        tuning = replace(TRADE.tuning, **tuned)
        return [
            chain_batch(some, TRADE, tuning, stories(some, ("0",), TRADE)).batch.ahead[0]
            for some in map(lines.until, (1, 2, 4))
        ]

    assert shares(ahead=0.3) == pytest.approx([0.06, 0.1, 0.15])
    assert shares(ahead=0.3, stated=0.08) == pytest.approx(np.hypot([0.06, 0.1, 0.15], 0.08))
    assert shares() == [0.0] * 3


def test_a_chain_labelled_as_on_a_gear_hub_lasts_three_times_as_long():
    """Without a reading: its median life is the class's times three, and nobody asks whether it is one."""
    empty = one_chain((0.0, 2, 0.0, 0.0))
    empty.gauge[:] = -1
    found = forecast_chains(replace(empty, hub=np.array([True])), ("0",), TRADE)
    assert found.to_limit_km[0, 3] == pytest.approx(9000, rel=0.03)
    assert found.like_hub[0] == 0.0


def test_a_new_chain_is_not_yet_bedded_in():
    """0.10 %, and 0.10 % after 150 km more: a new chain would show less before it has bedded in, so it is the one on record."""
    lines = one_chain((1500.0, 3, 0.10, 0.10), (150.0, 3, 0.10, 0.10))
    with_it, without = (
        forecast_chains(lines, ("0",), replace(TRADE, tuning=replace(TRADE.tuning, run_in=r))).odds_same[0]
        for r in (0.03, 0.0)
    )
    assert with_it > 1.5 * without


def test_another_version_of_what_was_learned_is_refused():
    """A file of another version, or with a figure missing, is refused and says what to do."""
    plain = TRADE.as_plain()
    with pytest.raises(InputRefused, match="version 7: version 3 is read here"):
        LearnedChains.from_plain({**plain, "version": 7})
    del plain["noise_km"]
    with pytest.raises(InputRefused, match="lacks a figure"):
        LearnedChains.from_plain(plain)


def test_a_gauge_named_wrongly_does_not_break_cover():
    """Where every three-point gauge pushes the rollers in truth, 80 % intervals still hold 74 to 86 % after learning.

    The standard error of a share over some 650 chains is 1.6 %; the bar of 76 to 84 is widened by little more than one.
    """
    g = np.random.default_rng(12)
    of = workshops(1400, g)
    of.pushes[:] = True
    life = lives(of, g)
    wrong = np.ones(len(of.bias), bool)
    names = tuple(str(k) for k in range(len(of.bias)))
    first, later = np.arange(1400) < 500, np.arange(1400) > 499
    known = learn_chains(chain_lines(life, closing="gauge", wrong=wrong).take(first), names, TRADE)
    rows = sound_so_far(life, 2)
    test = rows[later[rows]]
    found = forecast_chains(chain_lines(life, 2, wrong=wrong).take(test), names, known).to_limit_km
    true = (life.passes - life.at[:, 1])[test]
    inside = np.mean((true >= found[:, 1]) & (true <= found[:, 5]))
    assert 0.74 <= inside <= 0.86


def test_a_rule_beside_the_gauge_tells_which_kind_it_is():
    """Rule 0.35, then the two-point gauge between 0.5 and 0.75 with no km between: it pushes, and is taken so.

    What is left then lies within a fifth of the way from the pushing to the plain story.
    """
    lines = one_chain((1800.0, 2, 0.30, 0.30), (0.0, 2, 0.35, 0.35), (0.0, 0, 0.5, 0.75))
    plain, both, pushing = (
        forecast_chains(lines, ("0",), known).to_limit_km[0, 3]
        for known in (_shop_with("plain"), TRADE, _shop_with("pushing"))
    )
    assert plain < pushing
    assert abs(both - pushing) < 0.2 * (pushing - plain)


@settings(max_examples=10, deadline=None)
@given(st.permutations(range(12)), st.integers(1, 12))
def test_neither_order_nor_batch_changes_a_forecast(order, first):
    """Twelve drawn chains in any order, or cut in two: each gets the figures that it gets with all the others, to 1e-9."""
    g = np.random.default_rng(3)
    lines = chain_lines(lives(workshops(12, g), g), 3)
    whole = forecast_chains(lines, ("0",), TRADE)
    place = np.array(order)
    parts = [
        forecast_chains(lines.take(rows), ("0",), TRADE)
        for rows in (place[:first], place[first:])
        if len(rows)
    ]
    km, odds = (np.concatenate([getattr(p, n) for p in parts]) for n in ("to_limit_km", "odds_same"))
    assert km == pytest.approx(whole.to_limit_km[place], rel=1e-9, abs=1e-6)
    assert odds == pytest.approx(whole.odds_same[place], rel=1e-9)


def test_wild_chains_are_told_in_bulk_what_they_are_told_one_by_one():
    """Forty chains whose readings fit nothing that came before, by the rates and weights of one part's law: chances to 1e-9.

    In bulk there were fewer rates once, and what weighed less than 3e-5 before the last reading was left out; a reading far from all
    others rests on just that.
    """
    g = np.random.default_rng(1)
    n, looks = 40, 4
    off = np.arange(looks)[None] >= g.integers(1, looks + 1, n)[:, None]
    gauge, value = g.integers(0, 4, (n, looks)), g.uniform(-0.2, 2.0, (n, looks))
    below, past = np.where(value < 0.5, -np.inf, 0.5), np.where(value < 0.5, 0.5, 0.75)
    step = gauge < 2
    lines = ChainLines(
        shop=np.zeros(n, int), use=g.integers(0, 5, n), limit=g.choice([0.5, 0.75], n), closed=np.full(n, np.nan),
        km=np.where(off, np.nan, np.exp(g.normal(6.3, 1.2, (n, looks)))), days=np.where(off, np.nan, 60.0),
        gauge=np.where(off, -1, gauge),
        low=np.where(off, -np.inf, np.where(step, np.where(value >= 0.75, 0.75, below), value)),
        high=np.where(off, np.inf, np.where(step, np.where(value >= 0.75, np.inf, past), value)),
        passed_after=np.full(n, np.nan), bench=np.zeros(n, bool), hub=g.random(n) < 0.1, start=g.integers(0, 5, n),
    )  # fmt: skip
    bulk = forecast_chains(lines, ("0",), TRADE)
    batch = chain_batch(lines, TRADE, TRADE.tuning, stories(lines, ("0",), TRADE)).batch
    for i in range(n):
        part = part_at(batch, i)
        cloud, slipped, *_ = until_last(part, NODES)
        alone = law_of(part, cloud, slipped, LEAST_OF_NODE)
        told = chance_of(alone, np.ones(1), np.zeros(1))[0]
        assert bulk.chance_past_limit[i] == pytest.approx(told, abs=1e-9), i
        # The road that half of such chains reach is passed by half of them, nearly: roads are told to less in bulk. The chance may
        # jump there, where the median is held to those of other distances.
        before, after = (
            chance_of(alone, np.ones(1), bulk.to_limit_km[i, 3:4] + step * PRECISION * alone.scale)[0]
            for step in (-1.0, 1.0)
        )
        assert before <= 0.51, i
        assert after >= 0.49, i
