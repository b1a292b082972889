"""Climb that trembles, and one ride recorded twice."""

from datetime import UTC, datetime, timedelta
from math import pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.rides import RecordedRide, climb_and_descent, read_ride_file, same_ride
from pinchbolt.errors import InputRefused

AT = datetime(2026, 5, 1, 8, tzinfo=UTC)


def test_a_level_road_climbs_nothing_however_the_barometer_trembles():
    """Half a metre up and down each second for an hour: no climb."""
    assert climb_and_descent([100.0 + second % 2 for second in range(3600)]) == (0.0, 0.0)


def test_a_hill_climbs_its_height_within_what_smoothing_takes():
    """300 m up in 1,000 s and down again: the rounded summit takes less than 1 % (bound: 10 s of the slope)."""
    hill = [0.3 * second for second in range(1001)]
    climb, descent = climb_and_descent(hill + hill[::-1])
    assert climb == pytest.approx(300, abs=3.0)
    assert descent == pytest.approx(300, abs=3.0)


def test_waves_after_a_slope_are_no_further_slope():
    """100 m down, then a lake shore that rises and falls by 1.6 m for half an hour; and the same uphill."""
    waves = [0.8 * sin(2 * pi * second / 60) for second in range(1800)]
    down = [100.0 - 0.2 * second for second in range(501)] + waves
    climb, descent = climb_and_descent(down)
    assert climb == 0.0
    assert descent == pytest.approx(100.0, abs=2.5)
    climb, descent = climb_and_descent([-height for height in down])
    assert climb == pytest.approx(100.0, abs=2.5)
    assert descent == 0.0


@given(st.lists(st.floats(-100, 3000), min_size=2, max_size=60))
def test_climb_less_descent_is_never_more_than_from_end_to_end_plus_what_does_not_count(heights):
    """What goes up and what comes down differ by end less start, but for slopes too small to count."""
    climb, descent = climb_and_descent(heights)
    assert climb >= 0
    assert descent >= 0
    assert abs((climb - descent) - (heights[-1] - heights[0])) <= 2.0 + 1e-6


def test_altitudes_and_times_are_paired():
    """One time for each altitude, or none at all."""
    with pytest.raises(InputRefused, match=r"^2 altitudes and 3 times: each altitude has one time"):
        climb_and_descent([1.0, 2.0], [0.0, 1.0, 2.0])


def ride(minutes_later=0, minutes=60, metres=30000.0):
    """A ride on the first of May."""
    return RecordedRide(
        AT + timedelta(minutes=minutes_later), minutes * 60.0, minutes * 60.0, metres, "device"
    )


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (ride(metres=30210), True),
        (ride(1, 58, 29000), True),
        (ride(metres=36000), False),
        (ride(61), False),
        (ride(-40), False),
        (ride(0, 60, 0.0), False),
    ],
)
def test_two_recordings_of_one_ride_meet_and_two_rides_of_a_day_do_not(other, same):
    """Most of the time in common and distances within 15 %, seen from either side."""
    assert same_ride(ride(), other) is same
    assert same_ride(other, ride()) is same


def test_a_row_that_tells_only_its_day_meets_the_recording_of_that_day():
    """A diary's 30.1 km and a computer's 30 km of one day are one ride; 33 km are another one, and so is the next day."""
    (diary,) = read_ride_file("diary.csv", b"start,distance_km\n2026-05-01,30.1\n").rides
    assert diary.damaged == ("its start has no hour; noon was taken",)
    assert same_ride(ride(), diary)
    assert same_ride(diary, ride())
    assert not same_ride(ride(metres=33000.0), diary)
    assert not same_ride(ride(minutes_later=1440), diary)
