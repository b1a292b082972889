"""The same ride twice: from two devices, or in two forms of one recording."""

from pinchbolt.engines.rides.types import NO_HOUR, Ride

_OVERLAP = 0.5
_DISTANCE = 0.15
_LEAST_M = 200.0
_SAME_START_S = 120.0
_DAY_DISTANCE, _DAY_LEAST_M = 0.02, 50.0


def same_ride(one: Ride, other: Ride) -> bool:
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
        >>> watch, computer = Ride(at, 3600, 3500, 30000, "device"), Ride(at, 3605, 3490, 30210, "device")
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
    if min(one.elapsed_s, other.elapsed_s) <= 0:
        if _has_no_hour(one) or _has_no_hour(other):
            apart = abs(one.distance_m - other.distance_m)
            return one.start.date() == other.start.date() and apart <= max(_DAY_DISTANCE * far, _DAY_LEAST_M)
        return abs((one.start - other.start).total_seconds()) <= _SAME_START_S
    together = (min(one.end, other.end) - max(one.start, other.start)).total_seconds()
    return together > _OVERLAP * min(one.elapsed_s, other.elapsed_s)


def _has_no_hour(ride: Ride) -> bool:
    """Whether only the day of a ride was told."""
    return ride.distance_from == "table" and ride.elapsed_s <= 0 and NO_HOUR in ride.damaged
