"""Instruments learned from checks and pairs, doubted after a bad one; what a bike and a workshop remember."""

from dataclasses import replace
from datetime import date, timedelta
from math import inf, sqrt

import numpy as np
import pytest

from pinchbolt.engines.wear import (
    Candidate,
    GaugeError,
    GaugeReading,
    PartLife,
    RateOfUse,
    Stories,
    doubted,
    gauge_from_checks,
    gauges_from_pairs,
    judge,
    law_on_this_bike,
    learn_own,
    worth_of_reading,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from tests.engines.wear.cases import (
    BETWEEN,
    CALIPER,
    CHAIN,
    RULE,
    THREE_POINT,
    TODAY,
    TWO_POINT,
    USE,
    reading,
    value,
)

# As in a world where every part was fitted new.
ALWAYS_NEW = Stories((0.0, 0.0), (0.0, 0.0))


def test_ten_checks_fix_a_bias_by_the_rule_of_normals():
    """Prior 0 +- 0.05, ten checks of noise 0.04 at 0.10: the textbook's weighted mean and spread."""
    found = gauge_from_checks(GaugeError(0.0, 0.05, 0.04), [(0.02, value(0.12))] * 10)
    precision = 1 / 0.05**2 + 10 / 0.04**2
    assert found.bias == pytest.approx(10 / 0.04**2 * 0.10 / precision, rel=1e-12)
    assert found.bias_sd == pytest.approx(1 / sqrt(precision), rel=1e-12)


def test_a_gauge_that_drops_into_a_new_chain_reads_too_much():
    """0.5 drops in on a chain of 0.02: the bias must be near 0.5, whatever was believed."""
    believed = GaugeError(0.12, 0.10, 0.04)
    bad = gauge_from_checks(believed, [(0.02, Interval(0.5, inf))])
    good = gauge_from_checks(believed, [(0.02, Interval(-inf, 0.5))])
    assert bad.bias > 0.4
    assert good.bias == pytest.approx(0.12, abs=0.01)


def test_pairs_move_the_less_known_instrument():
    """Ten pairs of two-point gauge and caliper, 0.2 apart: the gauge takes most of the difference."""
    gauge, caliper = gauges_from_pairs(TWO_POINT, CALIPER, [(0.5 + 0.2, 0.5)] * 10)
    assert gauge.bias - caliper.bias == pytest.approx(0.2, abs=0.01)
    assert abs(gauge.bias - TWO_POINT.bias) > 2 * abs(caliper.bias - CALIPER.bias)
    assert gauge.bias_sd < TWO_POINT.bias_sd


def test_a_pair_on_one_part_teaches_the_forecast_too():
    """A caliper beside the gauge on the same chain narrows what later gauge readings mean."""
    both = [
        reading(1000, value(0.45), TWO_POINT, days_ago=60, instrument="two-point"),
        reading(1000, value(0.30), CALIPER, days_ago=60, instrument="caliper"),
    ]
    later = reading(1600, value(0.60), TWO_POINT, instrument="two-point")
    alone = judge(CHAIN, [both[0], later], USE, TODAY)
    taught = judge(CHAIN, [*both, later], USE, TODAY)
    assert (
        taught.present.wide.high - taught.present.wide.low < alone.present.wide.high - alone.present.wide.low
    )


def test_a_bad_check_casts_doubt_back_to_the_last_good_one():
    """Bias believed 0.0, found 0.12: readings in between are taken at 0.06 +- at least 0.12 / (2 root 3)."""
    wide, words = doubted(THREE_POINT, 0.12, date(2030, 1, 10), date(2030, 5, 20))
    assert wide.bias == pytest.approx(0.06)
    assert wide.bias_sd == pytest.approx(sqrt(0.02**2 + (0.06 / sqrt(3)) ** 2), rel=1e-12)
    assert "2030-01-10" in words
    assert "Measure again" in words
    with pytest.raises(InputRefused):
        doubted(THREE_POINT, 0.12, date(2030, 5, 20), date(2030, 1, 10))


def test_a_bike_that_ate_its_last_chain_is_expected_to_eat_the_next():
    """One chain done at 1,500 km: the next is expected to last less than such chains, but more than 1,500 km."""
    done = [reading(1500, value(0.75), RULE, days_ago=200)]
    law = law_on_this_bike(CHAIN, [done], USE)
    assert 1500 < law.median_life < 2250
    assert law.life_log_sd < CHAIN.life_log_sd
    assert "earlier chain of this bike" in law.prior_source


def test_more_chains_of_the_bike_say_more():
    """Three chains at 1,500 km pull harder and narrow more than one; none changes nothing."""
    done = [reading(1500, value(0.75), RULE, days_ago=200)]
    one, three = law_on_this_bike(CHAIN, [done], USE), law_on_this_bike(CHAIN, [done] * 3, USE)
    assert three.median_life < one.median_life
    assert three.life_log_sd < one.life_log_sd
    assert law_on_this_bike(CHAIN, [], USE) == CHAIN


def test_one_earlier_chain_weighs_the_bike_as_plain_integration_says():
    """Without unevenness of growth: bike and chain integrated on a plain fine grid give the same median and spread."""
    even = replace(
        CHAIN, noise=1e-3, slow_sd=1e-4, new=0.0, new_spread=0.0, misread=1e-9, tail=0.0, stories=ALWAYS_NEW
    )
    done = [reading(2000, value(0.75), GaugeError(0, 1e-4, 0.1), days_ago=100, share=0.0)]
    law = law_on_this_bike(even, [done], USE)
    mu, bike_sd = -np.log(3000), sqrt(0.46**2 - 0.18**2)
    bike = mu + bike_sd * np.linspace(-5, 5, 801)[:, None]
    chain = mu + 0.46 * np.linspace(-5, 5, 801)[None, :]
    like = np.exp(-0.5 * ((1.0 - np.exp(chain) * 2000) / (0.1 / 0.75)) ** 2)
    joint = np.exp(-0.5 * ((bike - mu) / bike_sd) ** 2 - 0.5 * ((chain - bike) / 0.18) ** 2) * like
    weight = joint.sum(axis=1) / joint.sum()
    mean = float(weight @ bike[:, 0])
    var = float(weight @ (bike[:, 0] - mean) ** 2) + 0.18**2
    # 24 rates against 801: half a percent of the life.
    assert np.log(law.median_life) == pytest.approx(-mean, abs=0.005)
    assert law.life_log_sd == pytest.approx(sqrt(var), abs=0.005)


def test_the_instrument_that_would_say_most_comes_first():
    """After one go/no-go reading a caliper beats a rule, a rule beats the same gauge again."""
    seen = judge(CHAIN, [reading(2000, BETWEEN)], USE, TODAY)
    found = worth_of_reading(
        seen,
        [
            Candidate("three-point gauge", THREE_POINT, (0.5, 0.75)),
            Candidate("steel rule", RULE),
            Candidate("caliper", CALIPER),
        ],
    )
    assert [w.instrument for w in found] == ["caliper", "steel rule", "three-point gauge"]
    assert found[0].width_after < found[0].width_now
    assert found[0].width_now == pytest.approx(seen.to_limit.wide.high - seen.to_limit.wide.low)


PRIORS = {
    "version": "1",
    "prior": [
        {
            "id": "chain",
            "covers": ["chain-elongation-9to10"],
            "driver": "km",
            "at": 0.75,
            "median": {"mixed": 3000, "mud": 1900},
            "log_sd": 0.46,
            "part_log_sd": 0.18,
            "noise": 120,
            "slow_sd": 0.15,
            "slow_use": 500,
            "source": "common practice, no source",
            "certain": "low",
        }
    ],
}


def drawn_lives(count, life, seed, error=CALIPER):
    """Chains of a workshop whose median life is *life*, read twice by caliper."""
    g = np.random.default_rng(seed)
    lives = []
    for _ in range(count):
        rate = 0.73 / life * np.exp(0.3 * g.normal())
        looks = []
        km = wear = 0.0
        for i in range(2):
            ridden = 700 * np.exp(0.3 * g.normal())
            km += ridden
            wear += rate * g.gamma(ridden / 80, 80)
            shown = 0.02 + wear + 0.03 * g.normal()
            looks.append(
                GaugeReading(TODAY + timedelta(days=60 * i), value(shown), "caliper", error, km, 0.02)
            )
        lives.append(PartLife(CHAIN, tuple(looks), RateOfUse(70.0, 0.5)))
    return lives


def test_a_workshop_learns_its_own_life_and_says_from_how_many_chains():
    """160 chains that last 20 % less than the trade says, read by a caliper that was checked: near 2,400 km, with its doubt.

    By a caliper of unknown bias level and bias share what is read, and the life moves less.
    """
    learned = learn_own(PRIORS, drawn_lives(160, 2400, 1, GaugeError(0.0, 0.004, 0.03)), today=TODAY)
    (life,) = learned.lives
    assert life.parts == 160
    # 0.3 / root 80 is the standard error of the log of the median; three of them, and the doubt of the readings.
    assert life.after == pytest.approx(2400, rel=0.12)
    assert life.range.low < life.after < life.range.high
    assert "Learned from 160 chain parts in mixed use" in life.words
    assert "shorter than the trade prior" in life.words
    row = learned.priors["prior"][0]
    assert row["median"]["mud"] == 1900
    # One workshop's parts can't tell the spread of lives: that stays the trade's.
    assert row["log_sd"] == 0.46
    assert "learned from parts of this workshop" in row["source"]
    assert learned.version == "1+160 parts to 2030-06-01"


def test_few_parts_hardly_move_the_trade_prior():
    """Three chains, however bad, do not halve the life: the shift is shrunk."""
    learned = learn_own(PRIORS, drawn_lives(3, 1200, 2), today=TODAY)
    assert 3000 * 0.6 < learned.lives[0].after < 3000


def test_a_workshop_without_parts_keeps_the_table():
    """Nothing read, nothing learned; the table handed in is never changed in place."""
    learned = learn_own(PRIORS, [], today=TODAY)
    assert learned.lives == ()
    assert learned.priors["prior"] == PRIORS["prior"]
    learn_own(PRIORS, drawn_lives(5, 2000, 3), today=TODAY)
    assert PRIORS["prior"][0]["median"]["mixed"] == 3000


def test_a_workshop_learns_what_its_caliper_shows_too_much():
    """80 chains at the trade's life whose caliper shows 0.06 % too much: found within three standard errors of readings."""
    lives = [
        replace(x, readings=tuple(replace(r, shown=value(r.shown.low + 0.06)) for r in x.readings))
        for x in drawn_lives(80, 3000, 4)
    ]
    (bias,) = learn_own(PRIORS, lives, today=TODAY).biases
    assert (bias.instrument, bias.limit, bias.parts) == ("caliper", "chain-elongation-9to10", 80)
    # The level of lives and the bias share what is read: half of it stays in doubt.
    assert 0.01 < bias.bias < 0.09
    assert bias.bias_sd < CALIPER.bias_sd
