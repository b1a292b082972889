"""What must hold for every part, every gauge and every reading."""

from dataclasses import replace

from hypothesis import example, given, settings
from hypothesis import strategies as st

from pinchbolt.engines.wear import GaugeError, RateOfUse, judge
from pinchbolt.values import Interval
from tests.engines.wear.cases import CHAIN, TODAY, USE, reading, value

# Found by search once, with a reading of 0.00 % after 812 km.
NEARLY_NEW = GaugeError(0.125, 0.0, 0.03125)
FEW = settings(max_examples=40, deadline=None)
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
    """Of two laws that differ in median life only, the longer one has more road left while the limit lies ahead."""
    look = [reading(at, value(shown))]
    short = judge(CHAIN, look, USE, TODAY)
    long = judge(replace(CHAIN, median_life=3000.0 + more), look, USE, TODAY)
    assert long.to_limit.median >= short.to_limit.median - 1e-6


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
