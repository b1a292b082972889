"""Where two recordings stop being one ride: each limit from both sides. The limits are our assumptions, no source."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from pinchbolt.engines.rides import Meeting, RecordedRide, meeting_of, read_ride_file, same_ride

AT = datetime(2026, 5, 1, 8, tzinfo=UTC)


def ride(
    later_s: float = 0.0, lasts_s: float = 3600.0, metres: float = 20_000.0, device: str = "a"
) -> RecordedRide:
    """A ride of the first of May."""
    return RecordedRide(
        AT + timedelta(seconds=later_s),
        lasts_s,
        lasts_s,
        metres,
        "device",
        device=device,
        device_serial=device,
    )


@pytest.mark.parametrize(
    ("other", "same"),
    [
        # More than half of the shorter one's time: 1,801 of 3,600 s, not 1,800.
        (ride(1799), True),
        (ride(1800), False),
        # Distances within 15 % of the longer: of 20 km, 17 km.
        (ride(metres=17_000), True),
        (ride(metres=16_999), False),
        # Of short rides 200 m, whatever the share.
        (ride(metres=19_800), True),
    ],
)
def test_the_ends_of_the_same_ride(other: RecordedRide, same: bool) -> None:
    """Seen from either side."""
    assert same_ride(ride(), other) is same
    assert same_ride(other, ride()) is same


@pytest.mark.parametrize(("metres", "same"), [(300, True), (299, False)])
def test_two_hundred_metres_between_short_rides(metres: float, same: bool) -> None:
    """A ride round the block of 500 m and one of 300 m."""
    assert same_ride(ride(metres=500), ride(metres=metres)) is same


@pytest.mark.parametrize(("later", "same"), [(120, True), (121, False)])
def test_without_a_duration_the_starts_must_be_within_two_minutes(later: float, same: bool) -> None:
    """A row of a table that tells start and distance."""
    assert same_ride(ride(), ride(later, 0.0)) is same


@pytest.mark.parametrize(
    ("km", "meeting"),
    [
        (20.4, Meeting.SAME),
        (19.6, Meeting.SAME),
        (20.5, Meeting.SAME_DAY),
        (40.0, Meeting.SAME_DAY),
    ],
)
def test_a_row_that_tells_only_its_day(km: float, meeting: Meeting) -> None:
    """Within 2 % of the day's recording it is that ride; else a person is asked."""
    (diary,) = read_ride_file("diary.csv", f"start,distance_km\n2026-05-01,{km}\n".encode()).rides
    assert meeting_of(ride(), diary) is meeting
    assert meeting_of(diary, ride()) is meeting


@pytest.mark.parametrize(
    ("other", "meeting"),
    [
        # 5 % of the shorter one is 180 s.
        (ride(3420, metres=3000), Meeting.APART),
        (ride(3419, metres=3000), Meeting.AT_ONCE),
        # A short one: two minutes count.
        (ride(3480, 600, 3000), Meeting.APART),
        (ride(3479, 600, 3000), Meeting.AT_ONCE),
        (ride(3600, 3600), Meeting.APART),
        (ride(0, 3600, 16_600), Meeting.AT_ONCE),
    ],
)
def test_nobody_rides_two_bikes_at_once(other: RecordedRide, meeting: Meeting) -> None:
    """What overlaps by more than clocks and late stops do is asked about."""
    assert meeting_of(ride(), other) is meeting
    assert meeting_of(other, ride()) is meeting


@pytest.mark.parametrize(
    ("other", "meeting"),
    [
        (ride(2 * 3600, device="b"), Meeting.CLOCK),
        (ride(2 * 3600 + 90, device="b"), Meeting.CLOCK),
        (ride(2 * 3600 + 91, device="b"), Meeting.APART),
        (ride(14 * 3600, device="b"), Meeting.CLOCK),
        (ride(15 * 3600, device="b"), Meeting.APART),
        (ride(2 * 3600, 3672, device="b"), Meeting.CLOCK),
        (ride(2 * 3600, 3680, device="b"), Meeting.APART),
        (ride(2 * 3600, 3600, 20_408, device="b"), Meeting.CLOCK),
        (ride(2 * 3600, 3600, 20_420, device="b"), Meeting.APART),
        # One device has one clock: there and back are two rides.
        (ride(2 * 3600), Meeting.APART),
    ],
)
def test_a_clock_that_is_hours_off_is_asked_about(other: RecordedRide, meeting: Meeting) -> None:
    """Two devices, whole hours apart, as long and as far within 2 %."""
    assert meeting_of(ride(), other) is meeting
    assert meeting_of(other, ride()) is meeting


def test_what_tells_no_day_meets_nothing() -> None:
    """Nothing to compare."""
    undated = replace(ride(), start=None)
    assert not same_ride(ride(), undated) and meeting_of(undated, ride()) is Meeting.APART
