"""The forecast of one part: what it says, why, and what it doubts."""

from dataclasses import replace
from datetime import timedelta
from math import inf

import pytest

from pinchbolt.engines.wear import GaugeError, RateOfUse, judge
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Verdict
from tests.engines.wear.cases import (
    BELOW,
    BETWEEN,
    CALIPER,
    CHAIN,
    MICROMETER,
    PAST,
    ROTOR,
    RULE,
    THREE_POINT,
    TODAY,
    TWO_POINT,
    USE,
    reading,
    value,
)


def test_a_chain_that_nobody_measured_is_forecast_from_such_chains_and_says_so():
    """Without a reading the chance at the median life is about one half, and the doubt is said."""
    seen = judge(CHAIN, [], USE, TODAY, exposure_now=3000.0)
    assert 0.45 < seen.chance_past_limit < 0.55
    assert any("measure it" in doubt for doubt in seen.doubts)
    assert any("Before measuring" in reason.words for reason in seen.reasons)


def test_readings_beat_the_prior():
    """A chain at 0.3 % after 4,000 km lasts longer than such chains; one at 0.6 % after 1,000 km shorter."""
    slow = judge(CHAIN, [reading(4000, value(0.30), CALIPER)], USE, TODAY)
    fast = judge(CHAIN, [reading(1000, value(0.60), CALIPER)], USE, TODAY)
    assert 4000 + slow.to_limit.median > 5000
    assert 1000 + fast.to_limit.median < 3000
    assert any("longer than most" in r.words or "twice as long as most" in r.words for r in slow.reasons)
    assert any("shorter than most" in r.words for r in fast.reasons)


def test_a_known_bias_is_taken_off_the_reading():
    """The same reading means less wear on a gauge that counts roller play."""
    plain = judge(CHAIN, [reading(2500, BETWEEN, THREE_POINT)], USE, TODAY)
    pushing = judge(CHAIN, [reading(2500, BETWEEN, TWO_POINT)], USE, TODAY)
    assert pushing.present.median < plain.present.median - 0.05
    assert any("allowing for its error, likely" in r.words for r in pushing.reasons)


def test_roller_play_that_grows_with_use_makes_an_old_chain_look_worse_than_it_is():
    """With growth of bias in its record the gauge's reading at 6,000 km means less wear."""
    grows = replace(TWO_POINT, growth=0.05, growth_sd=0.02)
    still = judge(CHAIN, [reading(6000, value(0.80), TWO_POINT)], USE, TODAY)
    grown = judge(CHAIN, [reading(6000, value(0.80), grows)], USE, TODAY)
    assert grown.present.median < still.present.median - 0.1
    assert grown.chance_past_limit < still.chance_past_limit


def test_a_sharper_instrument_gives_a_narrower_forecast():
    """Four caliper readings leave less doubt than four go/no-go readings of the same chain."""
    at = [(700, 0.16), (1400, 0.31), (2000, 0.45)]
    sharp = judge(
        CHAIN,
        [reading(km, value(w), CALIPER, days_ago=60 - 30 * i) for i, (km, w) in enumerate(at)],
        USE,
        TODAY,
    )
    coarse = judge(
        CHAIN, [reading(km, BELOW, days_ago=60 - 30 * i) for i, (km, _) in enumerate(at)], USE, TODAY
    )
    assert sharp.present.wide.high - sharp.present.wide.low < 0.6 * (
        coarse.present.wide.high - coarse.present.wide.low
    )
    assert (
        sharp.to_limit.wide.high - sharp.to_limit.wide.low
        < coarse.to_limit.wide.high - coarse.to_limit.wide.low
    )


def test_a_thinning_rotor_is_the_mirror_of_a_stretching_chain():
    """A law turned round (down for up, mirrored values) gives the mirrored answer to the last digits."""
    up = replace(ROTOR, new=0.0, warn=0.2, limit=0.3, direction="up", safety=False)
    down = replace(ROTOR, new=0.0, warn=-0.2, limit=-0.3, direction="down", safety=False)
    error = GaugeError(0.01, 0.005, 0.015)
    mirrored = GaugeError(-0.01, 0.005, 0.015)
    one = judge(up, [reading(5000, Interval(0.1, 0.15), error)], USE, TODAY)
    other = judge(down, [reading(5000, Interval(-0.15, -0.1), mirrored)], USE, TODAY)
    assert one.to_limit.median == pytest.approx(other.to_limit.median, rel=1e-9)
    assert one.present.wide.low == pytest.approx(-other.present.wide.high, rel=1e-9)
    assert one.chance_past_limit == pytest.approx(other.chance_past_limit, rel=1e-9)


def test_the_unit_of_the_rule_does_not_change_the_forecast():
    """Elongation in percent, or as millimetres over 24 pitches, gives the same remaining distance."""
    mm = replace(
        CHAIN, unit="mm", new=304.8 + 0.02 * 3.048, new_spread=0.04 * 3.048, warn=306.324, limit=307.086
    )
    in_percent = judge(CHAIN, [reading(2000, value(0.4), RULE)], USE, TODAY)
    error = GaugeError(0.0, 0.02 * 3.048, 0.08 * 3.048)
    in_mm = judge(mm, [reading(2000, value(304.8 + 0.4 * 3.048), error)], USE, TODAY)
    assert in_mm.to_limit.median == pytest.approx(in_percent.to_limit.median, rel=1e-9)
    assert in_mm.chance_past_limit == pytest.approx(in_percent.chance_past_limit, rel=1e-9)


def test_a_safety_part_that_may_be_past_its_limit_does_not_leave():
    """A rotor read at 1.51 of 1.50 may be under with more than one chance in twenty: before it leaves."""
    near = judge(ROTOR, [reading(11000, value(1.51), MICROMETER)], USE, TODAY)
    assert 0.05 <= near.chance_past_limit < 0.5
    assert near.verdict is Verdict.BEFORE_IT_LEAVES
    assert near.next_check_day == TODAY


def test_a_safety_reading_past_the_limit_is_never_put_down_to_a_slip():
    """Two good readings do not outvote a third that is past the limit."""
    looks = [
        reading(2000, value(1.76), MICROMETER, days_ago=90),
        reading(3000, value(1.75), MICROMETER, days_ago=30),
        reading(3200, value(1.40), MICROMETER),
    ]
    seen = judge(ROTOR, looks, USE, TODAY)
    assert seen.verdict is Verdict.BEFORE_IT_LEAVES
    assert any("does not fit" in doubt for doubt in seen.doubts)


def test_a_chain_past_its_limit_gets_the_limits_verdict():
    """Past 0.75 on a good gauge at 3,500 km: next visit, and the days at the limit are over."""
    seen = judge(CHAIN, [reading(3500, PAST)], USE, TODAY)
    assert seen.verdict is Verdict.NEXT_VISIT
    assert seen.to_limit.median < 0
    assert seen.day_at_limit.median is not None
    assert seen.day_at_limit.median <= TODAY


def test_a_lone_go_no_go_reading_is_doubted():
    """It says on which side of a mark the wear is, no more."""
    assert any(
        "only says over or under" in d for d in judge(CHAIN, [reading(1000, BELOW)], USE, TODAY).doubts
    )


def test_a_chain_that_got_better_is_doubted():
    """0.7 % and then 0.1 % cannot be one chain without a slip."""
    looks = [reading(2600, value(0.70), CALIPER, days_ago=60), reading(3000, value(0.10), CALIPER)]
    assert any("does not fit" in d for d in judge(CHAIN, looks, USE, TODAY).doubts)


def test_a_missing_distance_is_filled_from_days_and_use_and_widens_the_answer():
    """Unknown distance since the last visit: the doubt is said and the interval wider than with a known one."""
    first = reading(1000, value(0.2), CALIPER, days_ago=120)
    known = judge(CHAIN, [first], USE, TODAY, exposure_now=1000 + 70 * 120 / 7)
    guessed = judge(CHAIN, [first], USE, TODAY)
    assert (
        guessed.present.wide.high - guessed.present.wide.low
        > known.present.wide.high - known.present.wide.low
    )
    assert any("distance" in d for d in guessed.doubts)


def test_no_distance_at_all_still_gives_an_answer_with_its_doubt():
    """A second-hand bike: a reading and nothing else."""
    seen = judge(CHAIN, [reading(None, BETWEEN)], USE, TODAY)
    assert any("No distance is known" in d for d in seen.doubts)
    assert 0.45 < seen.present.median < 0.8


def test_a_part_that_was_fitted_used_starts_in_doubt():
    """The same reading-free distance leaves a wider range on a part that was not new."""
    new = judge(CHAIN, [], USE, TODAY, exposure_now=500.0)
    used = judge(CHAIN, [], USE, TODAY, exposure_now=500.0, start="used")
    assert used.present.wide.high - used.present.wide.low > 2 * (new.present.wide.high - new.present.wide.low)


def test_days_run_with_the_rate_of_use_and_stop_at_ten_years():
    """Twice the use, half the days; a bike that hardly moves has no day at all."""
    look = [reading(500, value(0.1), CALIPER)]
    slow = judge(CHAIN, look, RateOfUse(40.0, 0.0), TODAY)
    fast = judge(CHAIN, look, RateOfUse(80.0, 0.0), TODAY)
    idle = judge(CHAIN, look, RateOfUse(0.5, 0.1), TODAY)
    days = (slow.day_at_limit.median - TODAY).days, (fast.day_at_limit.median - TODAY).days
    assert days[0] == pytest.approx(2 * days[1], abs=2)
    assert idle.day_at_limit.median is None
    assert idle.next_check_day == TODAY + timedelta(days=365)


def test_a_clock_needs_no_reading():
    """Brake fluid 25 months old with a limit of 24 is past it, without a doubt about measuring."""
    fluid = replace(
        ROTOR, part="brake fluid", unit="months", new=0.0, new_spread=0.0, warn=12.0, limit=24.0, direction="up",
        driver="days", median_life=24 * 365.25 / 12, life_log_sd=1e-3, noise=0.0, slow_sd=0.0, clock=True,
        at_limit=Verdict.NEXT_VISIT,
    )  # fmt: skip
    late = judge(fluid, [], USE, TODAY, exposure_now=25 * 365.25 / 12)
    fresh = judge(fluid, [], USE, TODAY, fitted_on=TODAY - timedelta(days=100))
    assert late.verdict is Verdict.NEXT_VISIT
    assert fresh.verdict is Verdict.SOUND
    assert late.doubts == ()
    assert fresh.present.median == pytest.approx(100 / (365.25 / 12), abs=0.01)
    assert abs((fresh.day_at_limit.median - TODAY).days - (730.5 - 100)) <= 2


@pytest.mark.parametrize(
    ("looks", "use", "says"),
    [
        ([reading(100, Interval(-inf, inf))], USE, "no end that is a number"),
        ([reading(100, BELOW, days_ago=-1)], USE, "must not be after today"),
        ([reading(-5, BELOW)], USE, "must be 0 or more"),
        ([], RateOfUse(0.0, 0.5), "must be above 0"),
        ([reading(100, BELOW, GaugeError(0, -1, 0.1))], USE, "spreads 0 or more"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_the_way_out(looks, use, says):
    """Each refusal names the value, what is allowed and what to do."""
    with pytest.raises(InputRefused) as refused:
        judge(CHAIN, looks, use, TODAY)
    assert says in refused.value.sentence


def test_a_limit_on_the_wrong_side_of_new_is_refused():
    """A marking of 1.9 mm on a rotor of 1.8 mm cannot be meant."""
    with pytest.raises(InputRefused) as refused:
        judge(replace(ROTOR, limit=1.9, warn=1.85), [], USE, TODAY)
    assert "beyond new" in refused.value.sentence
