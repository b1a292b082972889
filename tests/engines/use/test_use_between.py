"""How far a part was used between two days."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.use import Stay, Stretch, resolve_stays, use_between
from pinchbolt.errors import InputRefused

NEW_YEAR = date(2026, 1, 1)


def day(number: int) -> date:
    """The day that many days after new year."""
    return NEW_YEAR + timedelta(days=number)


def stretch(host, start, end, km, sd_share=0.0, known="ride files"):
    """A stretch with days counted from new year."""
    return Stretch(host, day(start), day(end), km, sd_share, known)


def stay(host, start, end=None):
    """A stay with days counted from new year."""
    return Stay(host, day(start), None if end is None else day(end))


# One wheel: on the road bike, then the trainer for the winter, then the gravel bike.
WHEEL = [stay("road", 0, 30), stay("trainer", 30, 60), stay("gravel", 70)]
RIDES = [
    stretch("road", 0, 40, 400.0, 0.02),
    stretch("trainer", 20, 60, 800.0, 0.15, "owner's word"),
    stretch("gravel", 60, 100, 1200.0, 0.02),
    stretch("city", 0, 100, 5000.0, 0.15),
]


def test_a_cassette_counts_every_bike_its_wheel_was_in():
    """By hand: 30 of 40 road days, 30 of 40 trainer days, 20 of 40 gravel days: 300 + 600 + 600; 80 days on a host."""
    use = use_between(WHEEL, RIDES, day(0), day(90))
    assert use.km == pytest.approx(1500.0, rel=1e-12)
    assert (use.days, use.days_unknown) == (80, 0)
    assert use.known == ("ride files", "owner's word")
    assert [reason.words for reason in use.reasons][1] == (
        "On trainer: 600 km (owner's word); a stretch that was shared is split by its days."
    )


def test_days_without_a_distance_are_counted_not_filled():
    """The road bike's stretch stops 10 days before the span does: 10 days unknown, and nothing added for them."""
    use = use_between([stay("road", 0)], RIDES, day(0), day(50))
    assert (use.km, use.days, use.days_unknown) == (400.0, 50, 10)
    assert any("For 10 of the days" in reason.words for reason in use.reasons)


def test_a_part_on_the_wall_is_not_used():
    """Between two stays nothing is ridden and no day counts."""
    use = use_between(WHEEL, RIDES, day(60), day(70))
    assert (use.km, use.sd, use.days, use.days_unknown, use.reasons) == (0.0, 0.0, 0, 0, ())


def test_the_ride_on_the_day_of_a_change_belongs_to_the_old_part():
    """A single ride on the day of a move is the ride to the shop: it counts for what was fitted before."""
    ride = [stretch("road", 30, 30, 12.0)]
    assert use_between([stay("road", 0, 30)], ride, day(0), day(60)).km == 12.0
    assert use_between([stay("road", 30)], ride, day(0), day(60)).km == 0.0
    assert use_between([stay("road", 0)], ride, day(30), day(60)).km == 0.0


def test_whole_stretches_add_their_spreads_in_quadrature():
    """Independent stretches: 400 km known to 5 % and 300 km known to 10 % are 700 km with sd sqrt(20^2 + 30^2)."""
    rides = [stretch("road", 0, 40, 400.0, 0.05), stretch("road", 40, 70, 300.0, 0.10)]
    assert use_between([stay("road", 0)], rides, day(0), day(70)).sd == pytest.approx(
        hypot(20, 30), rel=1e-12
    )


def test_a_shared_stretch_is_as_uncertain_as_uneven_riding_makes_it():
    """Second way: 40,000 riders whose weeks are gamma drawn with variation 0.7; five of thirteen weeks of 910 km."""
    random = np.random.default_rng(20260105)
    weeks = random.gamma(1 / 0.7**2, 1.0, size=(40_000, 13))
    shares = weeks[:, :5].sum(axis=1) / weeks.sum(axis=1)
    true = 910.0 * shares * random.normal(1.0, 0.50, size=40_000)
    use = use_between([stay("road", 0, 35)], [stretch("road", 0, 91, 910.0, 0.50)], day(0), day(91))
    assert use.km == pytest.approx(350.0, rel=1e-12)
    assert true.mean() == pytest.approx(use.km, abs=5 * true.std() / 200)
    # The standard error of a standard deviation from n draws is about sd / sqrt(2 n); four of them.
    assert true.std() == pytest.approx(use.sd, rel=4 / np.sqrt(80_000))


@st.composite
def wheel_and_cassettes(draw):
    """A wheel that moves between hosts, and cassettes that take turns on it without a gap."""
    days = sorted(draw(st.sets(st.integers(0, 200), min_size=2, max_size=8)))
    hosts = draw(st.lists(st.sampled_from(["road", "gravel", "trainer", None]), min_size=9, max_size=9))
    wheel = [stay(host, a, b) for host, a, b in zip(hosts, days, days[1:], strict=False) if host]
    turns = [0, *sorted(draw(st.sets(st.integers(1, 199), max_size=5))), 200]
    cassettes = [[stay("wheel", a, b)] for a, b in pairwise(turns)]
    return wheel, cassettes


@st.composite
def rides(draw):
    """Stretches of three hosts that touch but never overlap, single rides among them."""
    found = []
    for host in ("road", "gravel", "trainer"):
        days = sorted(draw(st.sets(st.integers(0, 200), max_size=6)))
        for a, b in pairwise(days):
            found.append(stretch(host, a, b, draw(st.floats(0, 3000)), draw(st.floats(0, 0.3))))
        found += [stretch(host, a, a, draw(st.floats(0, 200))) for a in days[::2]]
    return draw(st.permutations(found))


@given(wheel_and_cassettes(), rides())
def test_no_kilometre_is_lost_or_made_when_parts_move(pair, ridden):
    """Exposure is conserved: what the cassettes of a wheel went together is what the wheel went, whatever the moves."""
    wheel, cassettes = pair
    whole = use_between(wheel, ridden, day(0), day(200))
    parts = [
        use_between(resolve_stays(turn, {"wheel": wheel}), ridden, day(0), day(200)) for turn in cassettes
    ]
    assert sum(part.km for part in parts) == pytest.approx(whole.km, rel=1e-12, abs=1e-9)
    assert sum(part.days for part in parts) == whole.days
    assert sum(part.days_unknown for part in parts) == whole.days_unknown


@given(wheel_and_cassettes(), rides(), st.integers(0, 200))
def test_two_spans_that_meet_add_up_to_one(pair, ridden, cut):
    """Use to a day and from that day is use over both."""
    wheel, _ = pair
    before, after, whole = (
        use_between(wheel, ridden, day(a), day(b)) for a, b in ((0, cut), (cut, 200), (0, 200))
    )
    assert before.km + after.km == pytest.approx(whole.km, rel=1e-12, abs=1e-9)
    assert before.days_unknown + after.days_unknown == whole.days_unknown


@given(wheel_and_cassettes(), rides())
def test_kilometres_day_by_day_are_the_same(pair, ridden):
    """Second way: one day at a time, every day asked where the wheel was and what that host went."""
    wheel, _ = pair
    km = 0.0
    for number in range(1, 201):
        here = {one.host for one in wheel if one.start < day(number) <= one.end}
        for ride in ridden:
            length = (ride.end - ride.start).days
            held = ride.start < day(number) <= ride.end or (length == 0 and ride.end == day(number))
            km += ride.km / max(length, 1) * (held and ride.host in here)
    assert use_between(wheel, ridden, day(0), day(200)).km == pytest.approx(km, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("ridden", "sentence"),
    [
        (
            [stretch("road", 0, 10, 9.0), stretch("road", 9, 20, 9.0)],
            "another from 2026-01-10 to 2026-01-21: each day",
        ),
        ([stretch("road", 0, 10, 9.0), stretch("road", 0, 20, 9.0)], "each day counts once"),
        ([stretch("road", 0, 30, 9.0), stretch("road", 5, 6, 9.0)], "each day counts once"),
        ([stretch("road", 0, 30, 9.0), stretch("road", 5, 5, 9.0)], "each day counts once"),
        (
            [stretch("road", 9, 3, 9.0)],
            "from 2026-01-10 to 2026-01-04: it ends on or after the day it starts",
        ),
        ([stretch("road", 0, 9, -1.0)], "is -1 km: from 0 to 200000 km"),
        ([stretch("road", 0, 9, float("nan"))], "is nan km: from 0 to 200000 km"),
        ([stretch("road", 0, 9, 9.0, float("inf"))], "has a spread of inf of itself: from 0 to 2"),
    ],
)
def test_distances_that_cannot_be_are_refused(ridden, sentence):
    """Each refusal names the distance and what is allowed; a day that counts twice is not averaged in silence."""
    with pytest.raises(InputRefused, match=sentence):
        use_between([], ridden, day(0), day(30))


@pytest.mark.parametrize(
    ("stays", "sentence"),
    [
        ([stay("road", 0), stay("gravel", 9)], "the part is on road still and comes to gravel on 2026-01-10"),
        ([stay("road", 0, 10), stay("road", 9)], "the part is on road until 2026-01-11"),
        ([stay("road", 9, 3)], "the part leaves road on 2026-01-04, before it came on 2026-01-10"),
    ],
)
def test_a_part_is_in_one_place_at_a_time(stays, sentence):
    """Two open fittings, or an end before its start, are refused by name and day."""
    with pytest.raises(InputRefused, match=sentence):
        use_between(stays, [], day(0), day(30))


def test_a_span_that_ends_before_it_starts_is_refused():
    """The span itself is checked first."""
    with pytest.raises(InputRefused, match="span is 2026-01-06 to 2026-01-01"):
        use_between([], [], day(5), day(0))


def test_a_single_ride_may_fall_on_the_ends_of_a_stretch():
    """Checked in twice on one day: the second, short distance is taken beside the stretch that ends there."""
    ridden = [stretch("road", 0, 30, 300.0), stretch("road", 30, 30, 3.0), stretch("road", 30, 60, 300.0)]
    assert use_between([stay("road", 0)], ridden, day(0), day(60)).km == 603.0


def test_a_wheel_in_the_cellar_resolves_to_nothing():
    """No stays of the wheel: none of the cassette; a wheel that was not told of is refused."""
    on_wheel = [stay("wheel", 0, 50)]
    assert resolve_stays(on_wheel, {"wheel": ()}) == ()
    with pytest.raises(InputRefused, match="stay on 'wheel': nothing is said of where that was"):
        resolve_stays(on_wheel, {})


def test_a_cassette_still_on_a_wheel_still_on_a_bike_has_no_end():
    """Open at both levels stays open; ended at one level ends there; the day it ends it is gone."""
    wheel = {"wheel": WHEEL}
    assert resolve_stays([stay("wheel", 80)], wheel) == (stay("gravel", 80),)
    assert resolve_stays([stay("wheel", 20, 75)], wheel) == (
        stay("road", 20, 30),
        stay("trainer", 30, 60),
        stay("gravel", 70, 75),
    )
    assert resolve_stays([stay("wheel", 60, 70)], wheel) == ()


def test_a_wheel_in_two_bikes_at_once_is_refused():
    """Contradictory stays of the carrier are named after the carrier."""
    with pytest.raises(InputRefused, match="spare wheel is on road still and comes to gravel"):
        resolve_stays([stay("spare wheel", 0)], {"spare wheel": [stay("road", 0), stay("gravel", 5)]})


def test_the_answer_does_not_depend_on_the_order_of_what_is_given():
    """Stays and stretches may come in any order."""
    forward = use_between(WHEEL, RIDES, day(0), day(90))
    assert replace(use_between(WHEEL[::-1], RIDES[::-1], day(0), day(90))) == forward
