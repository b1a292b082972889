"""The same ride twice: from two devices, in two forms of one recording, or so unlike that a person must say."""

from enum import Enum

from pinchbolt.engines.rides.rides_types import NO_HOUR, NO_ZONE, RecordedRide

_OVERLAP = 0.5
_DISTANCE = 0.15
_LEAST_M = 200.0
_SAME_START_S = 120.0
_DAY_DISTANCE, _DAY_LEAST_M = 0.02, 50.0

_DRIFT_S, _DRIFT = 120.0, 0.05
_HOURS_OFF_S, _MOST_HOURS_OFF = 90.0, 14
_ALIKE = 0.02


class Meeting(Enum):
    """How two recordings of one person stand to each other; the words say what is asked."""

    APART = ""
    SAME = "the same ride"
    AT_ONCE = "at the same time"
    SAME_DAY = "the same day"
    CLOCK = "a clock that is hours off"


def meeting_of(one: RecordedRide, other: RecordedRide) -> Meeting:
    """Return whether two recordings of one person are the same ride, may be, or are two rides.

    Those that `same_ride` tells are the same. Else one person rides one bike at a time: what overlaps by more than two
    minutes and 5 % of the shorter one may be one ride, whatever their distances; so may a row that tells only its day beside
    any ride of that day; and two recordings of different devices (or one without a zone) that are as long and as far within
    2 %, whole hours apart, are one ride by two clocks.

    Args:
        one: A ride of one person. [s, m]
        other: Another ride of the same person. [s, m]

    Returns:
        How they meet. [-]

    Valid for: Rides of one person. Two minutes and 5 % are what clocks and late stops do.

    Example:
        >>> from datetime import UTC, datetime
        >>> at = datetime(2026, 5, 1, 8, tzinfo=UTC)
        >>> computer, watch = RecordedRide(at, 3600, 3500, 20000, "device"), RecordedRide(at.replace(minute=10), 3000, 2900, 16600, "device")
        >>> meeting_of(computer, watch)
        <Meeting.AT_ONCE: 'at the same time'>

    Source: That nobody rides two bikes at once; the limits are our assumptions, no source.
    """
    if same_ride(one, other):
        return Meeting.SAME
    if one.start is None or other.start is None or one.end is None or other.end is None:
        return Meeting.APART
    if _has_no_hour(one) or _has_no_hour(other):
        return Meeting.SAME_DAY if one.start.date() == other.start.date() else Meeting.APART
    shorter = min(one.elapsed_s, other.elapsed_s)
    together = (min(one.end, other.end) - max(one.start, other.start)).total_seconds()
    if together > max(_DRIFT_S, _DRIFT * shorter) or (together >= 0 and shorter <= _DRIFT_S):
        return Meeting.AT_ONCE
    return Meeting.CLOCK if _hours_off(one, other) else Meeting.APART


def _hours_off(one: RecordedRide, other: RecordedRide) -> bool:
    """Two devices, one ride: as long, as far, whole hours apart. One device has one clock, and rides to work and back alike."""
    if one.start is None or other.start is None or min(one.elapsed_s, other.elapsed_s) <= 0:
        return False
    marks = {(ride.device, ride.device_serial) for ride in (one, other)}
    zoneless = (NO_ZONE in one.damaged) is not (NO_ZONE in other.damaged)
    if len(marks) < 2 and not zoneless:
        return False
    apart = abs((one.start - other.start).total_seconds())
    hours = round(apart / 3600)
    return (
        1 <= hours <= _MOST_HOURS_OFF
        and abs(apart - hours * 3600) <= _HOURS_OFF_S
        and abs(one.distance_m - other.distance_m) <= _ALIKE * max(one.distance_m, other.distance_m)
        and abs(one.elapsed_s - other.elapsed_s) <= _ALIKE * max(one.elapsed_s, other.elapsed_s)
    )


def same_ride(one: RecordedRide, other: RecordedRide) -> bool:
    """Return whether two recordings are of one ride.

    They are where more than half of the shorter one's time lies within the other and their distances differ by less than
    15 % of the longer (or 200 m), whatever recorded them. Recordings without a duration need the same start within two
    minutes; a row of a table that tells only the day, the same day and a distance within 2 % (or 50 m). One who rides
    alone with two devices makes doubles; two bikes can't be ridden at once by one owner.

    Args:
        one: A ride of one owner. [s, m]
        other: Another ride of the same owner. [s, m]

    Returns:
        True where both are the same ride; False where one has no day. [-]

    Valid for: Rides of one person, clocks right to within minutes.

    Example:
        >>> from datetime import UTC, datetime
        >>> at = datetime(2026, 5, 1, 8, tzinfo=UTC)
        >>> watch, computer = RecordedRide(at, 3600, 3500, 30000, "device"), RecordedRide(at, 3605, 3490, 30210, "device")
        >>> same_ride(watch, computer)
        True

    Source: Our assumption, no source: the shares are set so that two devices that differ by a wheel's circumference still
        meet and two rides of one day do not.
    """
    if one.start is None or other.start is None or one.end is None or other.end is None:
        return False
    far = max(one.distance_m, other.distance_m)
    if abs(one.distance_m - other.distance_m) > max(_DISTANCE * far, _LEAST_M):
        return False
    if _has_no_hour(one) or _has_no_hour(other):
        apart = abs(one.distance_m - other.distance_m)
        return one.start.date() == other.start.date() and apart <= max(_DAY_DISTANCE * far, _DAY_LEAST_M)
    if min(one.elapsed_s, other.elapsed_s) <= 0:
        return abs((one.start - other.start).total_seconds()) <= _SAME_START_S
    together = (min(one.end, other.end) - max(one.start, other.start)).total_seconds()
    return together > _OVERLAP * min(one.elapsed_s, other.elapsed_s)


def _has_no_hour(ride: RecordedRide) -> bool:
    """Whether only the day of a ride was told."""
    return ride.distance_from == "table" and NO_HOUR in ride.damaged
