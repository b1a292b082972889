"""What must hold for every part, every gauge and every reading."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pinchbolt.engines.wear import Candidate, GaugeError, RateOfUse, judge, worth_of_reading
from pinchbolt.values import Interval, Verdict
from tests.engines.wear.cases import CHAIN, TODAY, USE, reading, value

# Found by search once, with a reading of 0.00 % after 812 km.
NEARLY_NEW = GaugeError(0.125, 0.0, 0.03125)
FEW = settings(max_examples=16, deadline=None)  # `make fuzz` asks thousands
km = st.floats(50, 6000)
wear = st.floats(0.05, 0.9)
errors = st.builds(GaugeError, st.floats(-0.05, 0.2), st.floats(0.0, 0.08), st.floats(0.01, 0.1))


@FEW
@given(km, wear, errors)
def test_intervals_are_in_order_and_chances_are_chances(at, shown, error):
    """10 <= 25 <= 50 <= 75 <= 90 for every figure; the warning comes before the limit."""
    seen = judge(CHAIN, [reading(at, value(shown), error)], USE, TODAY)
    for spread in (seen.present, seen.rate_a_thousand, seen.to_warn, seen.to_limit):
        assert spread.wide.low <= spread.half.low <= spread.median <= spread.half.high <= spread.wide.high
    assert 0 <= seen.chance_past_limit <= seen.chance_past_warn <= 1
    assert seen.to_warn.median < seen.to_limit.median
    assert seen.reasons


@FEW
@example(812.0, 0.4, 0.0625, NEARLY_NEW)
@given(km, st.floats(0.4, 2.0), st.floats(0.0, 0.1), errors)
def test_more_shown_is_never_less_wear_while_no_slip_is_suspected(at, pace, more, error):
    """Of chains that wear at 0.4 to 2 times the usual pace, a higher reading never makes one less worn.

    Nor does it give more road. Growth is Gaussian, with a spread that goes with the rate: a reading lower than most
    rates explain speaks for unevenness as well as for a slow part, which costs up to two percent of the road left.
    """
    law = replace(CHAIN, misread=1e-30)
    shown = 0.02 + error.bias + 0.73 * pace * at / 3000
    less = judge(law, [reading(at, value(shown), error)], USE, TODAY)
    worse = judge(law, [reading(at, value(shown + more), error)], USE, TODAY)
    assert worse.present.median >= less.present.median - 1e-9
    assert worse.to_limit.median <= less.to_limit.median + 0.02 * abs(less.to_limit.median) + 5.0


@FEW
@given(km, wear, st.floats(0.0, 3000.0))
def test_more_road_since_the_reading_never_makes_it_better(at, shown, further):
    """The chance to be past the limit grows with the distance since the last reading."""
    look = [reading(at, value(shown))]
    near = judge(CHAIN, look, USE, TODAY, exposure_now=at)
    far = judge(CHAIN, look, USE, TODAY, exposure_now=at + further)
    # Between two stories (worn, or a slip) the median sits where little is believed: it may slide back by a hair.
    assert far.present.median >= near.present.median - 1e-4
    assert far.to_limit.median <= near.to_limit.median + 1.0


@FEW
@given(km, wear, errors)
def test_the_same_input_gives_the_same_output(at, shown, error):
    """No clock, no chance, no memory."""
    look = [reading(at, Interval(shown, shown + 0.1), error)]
    assert judge(CHAIN, look, USE, TODAY) == judge(CHAIN, look, USE, TODAY)


@FEW
@given(st.permutations(range(4)))
def test_the_order_in_which_readings_are_handed_over_does_not_matter(order):
    """Readings are put in order of day first."""
    looks = [reading(500 * (i + 1), value(0.12 * (i + 1)), days_ago=90 - 30 * i) for i in range(4)]
    assert judge(CHAIN, [looks[i] for i in order], USE, TODAY) == judge(CHAIN, looks, USE, TODAY)


@FEW
@given(km, st.floats(0.05, 0.5), st.floats(1.0, 400.0))
def test_a_longer_lived_kind_of_part_is_never_expected_to_fail_sooner(at, shown, more):
    """Of two laws that differ in median life only, the longer one has more road left while the limit lies ahead.

    Where slips and other starts compete with the rate that is no theorem: a thousandth of a life of play.
    """
    look = [reading(at, value(shown))]
    short = judge(CHAIN, look, USE, TODAY)
    long = judge(replace(CHAIN, median_life=3000.0 + more), look, USE, TODAY)
    assert long.to_limit.median >= short.to_limit.median - 1e-3 * CHAIN.median_life


@FEW
@given(st.floats(10.0, 200.0), st.floats(0.0, 0.8))
def test_days_are_in_order_whatever_the_use(a_week, spread):
    """Earliest, likely and latest day never swap places; a day that is not within ten years is None."""
    seen = judge(CHAIN, [reading(1500, value(0.35))], RateOfUse(a_week, spread), TODAY)
    days = [seen.day_at_limit.wide[0], seen.day_at_limit.half[0], seen.day_at_limit.median]
    days += [seen.day_at_limit.half[1], seen.day_at_limit.wide[1]]
    known = [d for d in days if d is not None]
    assert known == sorted(known)
    assert all(d is None for d in days[len(known) :])


@FEW
@given(km, wear, errors, st.sampled_from([0.001, 3.048, 25.4]), st.booleans())
def test_units_change_nothing(at, shown, error, per_percent, go_no_go):
    """Elongation in percent, in mm over 24 pitches or as a share: the same road left, chance and verdict."""
    k = per_percent
    ends = Interval(shown, shown + 0.1) if go_no_go else value(shown)
    scaled = replace(
        CHAIN, unit="other", **{n: getattr(CHAIN, n) * k for n in ("new", "new_spread", "warn", "limit")}
    )
    one = judge(CHAIN, [reading(at, ends, error)], USE, TODAY)
    error_too = GaugeError(error.bias * k, error.bias_sd * k, error.sd * k)
    other = judge(scaled, [reading(at, Interval(ends.low * k, ends.high * k), error_too)], USE, TODAY)
    assert other.to_limit.median == pytest.approx(one.to_limit.median, rel=1e-6, abs=1e-3)
    assert other.to_limit.wide.high == pytest.approx(one.to_limit.wide.high, rel=1e-6, abs=1e-3)
    assert other.chance_past_limit == pytest.approx(one.chance_past_limit, abs=1e-9)
    assert other.verdict is one.verdict


@FEW
@given(
    st.lists(st.tuples(st.floats(100, 1500), st.floats(-0.05, 0.4)), min_size=1, max_size=4),
    st.integers(0, 3),
    st.booleans(),
)
def test_a_removed_reading_never_makes_a_verdict_safer_in_silence(steps, out, safety):
    """Every reading that was used stands among the reasons: one that is gone is missed there, whatever the verdict.

    Where none is left the doubt says that nobody measured; a safety part then never comes out as sound past its median life.
    """
    at = wear = 0.0
    looks = []
    for i, (further, more) in enumerate(steps):
        at, wear = at + further, max(wear + more, 0.0)
        looks.append(reading(at, value(wear), days_ago=20 * (len(steps) - i)))
    law = replace(CHAIN, safety=safety)
    rest = [one for i, one in enumerate(looks) if i != out % len(looks)]
    before = judge(law, looks, USE, TODAY, exposure_now=at)
    after = judge(law, rest, USE, TODAY, exposure_now=at)

    def told(forecast):
        return {r.words for r in forecast.reasons if "showed" in r.words}

    assert len(told(before)) == len(looks)
    assert told(after) < told(before)
    assert len(told(after)) == len(looks) - 1
    if not rest:
        assert any("measure it" in doubt for doubt in after.doubts)
        assert after.verdict is not Verdict.SOUND or at < CHAIN.median_life


@FEW
@example(999.0, 0.75, GaugeError(0.0, 0.0, 0.03125), GaugeError(0.0, 0.0, 0.0625))
@example(6000.0, 0.05, GaugeError(0.0, 0.0, 0.03125), GaugeError(0.0, 0.0, 0.0625))
@given(km, wear, errors, errors)
def test_one_more_reading_is_never_expected_to_widen_the_forecast(at, shown, error, other):
    """Law of total variance: whatever was read, and whatever it may have been, a further reading narrows on average.

    Equally likely values stand for all that a rule may show: half a percent of play.
    """
    now = judge(CHAIN, [reading(at, value(shown), error)], USE, TODAY)
    for found in worth_of_reading(now, [Candidate("a", other), Candidate("b", other, (0.5, 0.75))]):
        assert 0.0 < found.width_after <= 1.005 * found.width_now


@FEW
@given(km, wear, errors, st.floats(1.0, 4.0))
def test_a_finer_instrument_is_never_worth_less(at, shown, error, coarser):
    """The same rule with more noise, and the gauge with one mark instead of two, narrow no more.

    While no slip is suspected: a coarser rule is not read wrong more coarsely, so with slips that is no theorem (Blackwell).
    """
    now = judge(replace(CHAIN, misread=1e-30), [reading(at, value(shown), error)], USE, TODAY)
    rules = Candidate("fine", error), Candidate("coarse", replace(error, sd=coarser * error.sd))
    gauges = Candidate("fine", error, (0.5, 0.75)), Candidate("coarse", error, (0.5,))
    for both in (rules, gauges):
        after = {one.instrument: one.width_after for one in worth_of_reading(now, both)}
        assert after["fine"] <= 1.01 * after["coarse"]
