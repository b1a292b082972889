"""What goes into the law, figure by figure and worked out by hand: chains as arrays, instruments, starts, beliefs, verdicts."""

from dataclasses import replace
from datetime import timedelta
from math import exp, inf

import numpy as np
import pytest
from scipy.stats import norm

from pinchbolt.engines.wear import ChainLines, GaugeError, GaugeReading, RateOfUse, trade_chains
from pinchbolt.engines.wear._chain_batch import chain_batch
from pinchbolt.engines.wear._filter import until_last
from pinchbolt.engines.wear._forecast_chains import stories
from pinchbolt.engines.wear._laws import USUAL, beliefs_of
from pinchbolt.engines.wear._learn_chains import _with_use
from pinchbolt.engines.wear._learn_own import PartLife, _part_of
from pinchbolt.engines.wear._one import LEAST_SD, bent, bent_steps, instruments, part_of
from pinchbolt.engines.wear._scale import own_scale
from pinchbolt.engines.wear._steps import Steps, steps
from pinchbolt.engines.wear._verdict import verdict_by_chance
from pinchbolt.reference.loader import tables
from pinchbolt.values import Verdict
from tests.engines.wear.cases import CHAIN, ROTOR, TODAY, reading, value
from tests.engines.wear.rows import CALIPER, law, law_for, shown

TRADE = trade_chains(tables().wear_priors)
RULE, MIXED_USE, TOLD = 2, 1, 1


def lines(*km, days=60.0, closed=np.nan, after=np.nan, start=TOLD):
    """One chain of mixed use, 0.10 % more at each rule reading."""
    count = len(km)
    at = 0.1 * np.arange(1, count + 1)[None]
    return ChainLines(
        shop=np.zeros(1, int), use=np.full(1, MIXED_USE), limit=np.full(1, 0.75), closed=np.array([closed]),
        km=np.array([km]), days=np.full((1, count), days), gauge=np.full((1, count), RULE), low=at, high=at.copy(),
        passed_after=np.array([after]), bench=np.array([np.isfinite(closed)]), hub=np.zeros(1, bool), start=np.array([start]),
    )  # fmt: skip


def batch(chain, known=TRADE):
    """The chain as the law takes it."""
    return chain_batch(chain, known, known.tuning, stories(chain, ("0",), known))


def test_a_chain_of_two_readings_as_the_law_takes_it():
    """900 and 800 km by a rule: own scale 0.73 % long, distances with 12 % of doubt, bedding-in fades over 200 km."""
    ready = batch(lines(900.0, 800.0))
    one = ready.batch
    assert one.use[0].tolist() == [900.0, 800.0, 0.0]
    assert one.use_var[0] == pytest.approx([(0.12 * 900) ** 2, (0.12 * 800) ** 2, 0.0])
    assert one.low[0] == pytest.approx([0.08 / 0.73, 0.18 / 0.73])
    assert one.sd[0] == pytest.approx([0.08 / 0.73] * 2)
    assert one.bedded[0] == pytest.approx([exp(-4.5), exp(-8.5)])
    assert one.bedded_new[0] == pytest.approx(exp(-2.0))
    assert one.usual[0] == pytest.approx(1700 / 3000)
    assert one.readings[0] == 2
    assert one.biases[0] == 1
    assert one.look[0].tolist() == [[1.0], [1.0]]
    assert one.again[0].tolist() == [0.0, 0.0]
    assert one.misread[0].tolist() == [0.02, 0.02]
    assert one.mu[0] == pytest.approx(-np.log(3000))
    assert ready.now[0] == 1700.0
    assert batch(lines(900.0)).batch.bedded_new[0] == pytest.approx(exp(-2.25))


def test_a_closing_at_the_bench_is_two_readings_without_a_gauge():
    """Not past at 2,300 km, past at 2,500: known to 0.04 of the way, one in a hundred is a slip; looked at through no gauge."""
    one = batch(lines(900.0, 800.0, closed=2500.0, after=2300.0)).batch
    assert one.use[0].tolist() == [900.0, 800.0, 600.0, 200.0, 0.0]
    assert one.low[0, 2:] == pytest.approx([-inf, 1.0])
    assert one.high[0, 2:] == pytest.approx([1.0, inf])
    assert one.sd[0, 2:].tolist() == [0.04, 0.04]
    assert one.misread[0, 2:].tolist() == [0.01, 0.01]
    assert one.look[0, 2:].tolist() == [[0.0], [0.0]]
    assert one.readings[0] == 4


def test_a_reading_on_the_same_day_by_the_same_instrument_is_the_same_look():
    """No day in between: again. A day in between, or the caliper: not."""
    twice = replace(lines(900.0, 0.0), days=np.array([[60.0, 0.0]]))
    assert batch(twice).batch.again[0].tolist() == [0.0, 1.0]
    assert batch(replace(twice, gauge=np.array([[RULE, 3]]))).batch.again[0].tolist() == [0.0, 0.0]
    assert batch(replace(twice, days=np.array([[60.0, 1.0]]))).batch.again[0].tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("start", "weights"),
    [(0, (0.98, 0.01, 0.01)), (1, (0.92, 0.05, 0.03)), (2, (0.0, 0.97, 0.03)), (3, (0.0, 0.0, 1.0))],
)
def test_how_a_fitting_is_known_says_how_the_chain_may_have_started(start, weights):
    """New, used, another part: as the table's rows say; used 0.45 of the way, another part 0.60."""
    found = batch(lines(900.0, start=start)).batch.start[0]
    assert found[:, 0] == pytest.approx(weights)
    assert found[1:, 1].tolist() == [0.45, 0.60]
    assert found[1:, 2].tolist() == [0.40, 0.60]
    assert found[0, 1] == 0.0


def test_as_it_was_known_after_one_reading():
    """Later readings and the closing are gone, not read as something."""
    early = lines(900.0, 800.0, closed=2500.0, after=2300.0).until(1)
    assert early.readings[0] == 1
    assert (early.low[0, 1], early.high[0, 1], early.gauge[0, 1]) == (-inf, inf, -1)
    assert np.isnan([early.km[0, 1], early.closed[0], early.passed_after[0]]).all()


def test_use_a_day_is_learned_from_stretches_whose_km_and_days_are_stated():
    """Forty chains of 10 km a day; every third stretch is without km and says nothing."""
    km = np.full((40, 3), 300.0)
    km[:, 1] = np.nan
    some = lines(1.0, 1.0, 1.0)
    many = ChainLines(*(np.repeat(getattr(some, n), 40, axis=0) for n in ChainLines.__slots__))
    known = _with_use(replace(many, km=km, days=np.full((40, 3), 30.0)), TRADE)
    assert known.km_a_day[MIXED_USE] == pytest.approx(10.0)
    assert known.km_log_sd == pytest.approx(0.1)  # the least that is believed
    assert known.step_log_sd == pytest.approx(0.05)
    assert known.km_a_day[0] == TRADE.km_a_day[0]


def test_a_table_without_unevenness_gets_what_is_usual():
    """120 km, 0.15 and 500 km, as the method page says."""
    row = {
        "id": "chain",
        "median": dict(zip(("dry road", "mixed", "mud", "e-bike", "indoor"), [3e3] * 5, strict=True)),
        "log_sd": 0.46,
    }
    uses = [{"id": name, "km_a_week": 70.0, "spread": 0.5} for name in row["median"]]
    tuning = trade_chains({"prior": [row], "use": uses}).tuning
    assert (tuning.noise, tuning.slow_sd, tuning.slow_use) == (120.0, 0.15, 500.0)
    assert tuning.ahead == 0.0


def test_beliefs_without_a_table_are_those_of_the_table():
    """One figure, two places: they may not part."""
    assert beliefs_of({}) == USUAL
    assert beliefs_of(tables().wear_priors) == USUAL


def test_a_row_that_says_nothing_of_bend_and_width_has_neither():
    """Growth goes with use, and intervals are as they come."""
    of = law_for(tables().limits["rotor-thickness-1.8"], tables().wear_priors, speeds=None, use_class="mixed")
    assert (of.bend, of.width) == (1.0, 1.0)


def test_an_instrument_with_one_story_has_no_second():
    """Weight nought for the story that is not there; a growing error is a second thing that is unknown."""
    looks = [
        reading(1000.0, value(0.3), CALIPER, days_ago=9),
        reading(2000.0, value(0.4), replace(CALIPER, growth=0.02)),
    ]
    way = Steps((1000.0, 1000.0), (0.0, 0.0), (1000.0, 2000.0), True, ())
    look, bias = instruments(looks, way, own_scale(CHAIN))
    assert bias[:, 1].tolist() == [[0.0, 0.0, LEAST_SD]] * 2
    assert bias[0, 0] == pytest.approx([1.0, 0.0, 0.03 / 0.73])
    assert bias[1, 0] == pytest.approx([1.0, 0.02 / 0.73, LEAST_SD])
    assert look.tolist() == [[1.0, 1.0], [1.0, 2.0]]


def test_bent_growth_is_alike_at_3000_and_keeps_the_doubt_of_its_distances():
    """To the power 1.1: the way to 3,000 stays, and 10 % of doubt of a stretch stays 10 % of it."""
    way = Steps((1000.0, 2000.0), (100.0**2, 200.0**2), (1000.0, 3000.0), True, ())
    use, var = bent_steps(way, 1.1)
    assert use.sum() == pytest.approx(3000.0)
    assert use[0] == pytest.approx(3000 * (1 / 3) ** 1.1)
    assert np.sqrt(var) == pytest.approx(0.1 * use)
    straight, same = bent_steps(way, 1.0)
    assert straight.tolist() == [1000.0, 2000.0]
    assert same.tolist() == [100.0**2, 200.0**2]
    assert bent(np.array([-5.0]), 1.1)[0] == 0.0


def test_of_earlier_readings_the_one_far_out_is_the_slip():
    """0.2, 1.5 and 0.3 % a hundred km apart: the second was a slip, the first was not."""
    of, seen = law("chain-elongation-9to10"), (0.2, 1.5, 0.3)
    looks = [
        GaugeReading(
            TODAY - timedelta(days=20 - 10 * k), shown(v), f"rule {k}", CALIPER, 1000.0 + 100 * k, 0.1
        )
        for k, v in enumerate(seen)
    ]
    way = steps(of, looks, RateOfUse(70.0, 0.5), TODAY, 1200.0, None)
    *_, slips = until_last(part_of(of, looks, way, "here"), 24)
    assert slips[0] < 0.05
    assert 0.5 < slips[1] <= 1.0


def test_what_one_tool_shows_too_much_is_learned_apart_from_what_differs_from_part_to_part():
    """Of a bias known to 0.03 %, three tenths differ from part to part; an instrument that is nobody's stays as it was."""
    looks = (
        GaugeReading(TODAY, shown(0.3), "ours", CALIPER, 1000.0, 0.1),
        GaugeReading(TODAY, shown(0.3), "lent", GaugeError(0.0, 0.02, 0.02), 1000.0, 0.1),
    )
    part, owners = _part_of(PartLife(CHAIN, looks, RateOfUse(70.0, 0.5)), [("ours", CHAIN.id)])
    assert owners == [0, -1]
    assert part.bias[:, 0, 2] == pytest.approx([0.3 * 0.03 / 0.73, 0.02 / 0.73])


@pytest.mark.parametrize(
    ("chance", "verdict"), [(0.049, Verdict.SOUND), (0.051, Verdict.BEFORE_IT_LEAVES), (0.5, ROTOR.at_limit)]
)
def test_a_safety_part_is_called_at_five_chances_in_a_hundred(chance, verdict):
    """As the method page's table says; an ordinary part is not."""
    assert verdict_by_chance(ROTOR, measured=True, warn=0.1, limit=chance, soon=0.0) is verdict
    assert (
        verdict_by_chance(CHAIN, measured=True, warn=0.1, limit=min(chance, 0.4), soon=0.0) is Verdict.SOUND
    )


def test_four_in_five_lives_lie_within_the_spread_that_the_row_says():
    """Body and tail together, by scipy's normal: as many as of a plain normal of that spread, for one part and for many.

    With the whole spread for the body the tail came on top of it, and ranges of which nothing was learned held 86 in 100.
    """
    scale, row = own_scale(CHAIN), norm(0.0, CHAIN.life_log_sd)
    fast, slow = row.ppf(0.9), row.ppf(0.1)

    def lies_between(sigma):
        body, tail = norm(0.0, sigma), norm(0.0, CHAIN.tail_factor * sigma)
        inside = [each.cdf(fast) - each.cdf(slow) for each in (body, tail)]
        return (1 - CHAIN.tail) * inside[0] + CHAIN.tail * inside[1]

    assert lies_between(scale.sigma) == pytest.approx(0.8, abs=1e-9)
    spread = next(one["log_sd"] for one in tables().wear_priors["prior"] if one["id"] == "chain")
    assert TRADE.tuning.spread / spread == pytest.approx(scale.sigma / CHAIN.life_log_sd, rel=1e-12)
    assert own_scale(replace(CHAIN, tail=0.0)).sigma == pytest.approx(CHAIN.life_log_sd)
