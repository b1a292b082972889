"""TCX: laps, totals that can't be, power, the name and serial of a device."""

import pytest

from pinchbolt.engines.rides import RecordedRide, read_ride_file

HEAD = '<TrainingCenterDatabase xmlns="urn:rides" xmlns:x="urn:rides:more"><Activities>'
TAIL = "</Activities></TrainingCenterDatabase>"


def point(second: int, metres: float, watts: int | None = None) -> str:
    """A point with the device's own count."""
    power = "" if watts is None else f"<Extensions><x:TPX><x:Watts>{watts}</x:Watts></x:TPX></Extensions>"
    return (
        f"<Trackpoint><Time>2026-05-01T08:{second // 60:02}:{second % 60:02}Z</Time>"
        f"<DistanceMeters>{metres}</DistanceMeters>{power}</Trackpoint>"
    )


def lap(seconds: float, metres: float, points: str = "", kcal: int | None = None) -> str:
    """A lap with its totals."""
    burnt = "" if kcal is None else f"<Calories>{kcal}</Calories>"
    return (
        f'<Lap StartTime="2026-05-01T08:00:00Z"><TotalTimeSeconds>{seconds}</TotalTimeSeconds>'
        f"<DistanceMeters>{metres}</DistanceMeters>{burnt}<Track>{points}</Track></Lap>"
    )


def read(*laps: str, creator: str = "") -> RecordedRide:
    """The one ride of a file of these laps."""
    body = f'<Activity Sport="Biking"><Id>2026-05-01T08:00:00Z</Id>{"".join(laps)}{creator}</Activity>'
    (found,) = read_ride_file("a.tcx", f"{HEAD}{body}{TAIL}".encode()).rides
    return found


def test_laps_add_up() -> None:
    """Times, distances and kilocalories (4.184 kJ each, NIST SP 811) of both laps."""
    found = read(lap(600, 5000, kcal=100), lap(300, 2500, kcal=50))
    assert (found.moving_s, found.distance_m, found.distance_from) == (900.0, 7500.0, "device")
    assert found.energy_kj == pytest.approx(150 * 4.184)


def test_work_is_power_over_time_in_kilojoules() -> None:
    """200 W for 100 s are 20 kJ."""
    points = "".join(point(second, 8.0 * second, 200) for second in range(101))
    assert read(lap(100, 800, points)).work_kj == pytest.approx(20.0, rel=0.02)


def test_a_total_that_no_bike_does_is_left_out_and_said_in_kilometres() -> None:
    """900 km in ten minutes: the points' own 4.8 km stand, and the words name the figure as a person reads it."""
    points = "".join(point(second, 8.0 * second) for second in range(0, 601, 10))
    found = read(lap(600, 900_000, points))
    assert found.distance_m == pytest.approx(4800)
    assert "its total of 900.0 km can't be; it was left out" in found.damaged


def test_points_that_contradict_the_total_are_said() -> None:
    """The laps say 8 km, the points 4.8 km: the total is taken, with its doubt."""
    points = "".join(point(second, 8.0 * second) for second in range(0, 601, 10))
    found = read(lap(600, 8000, points))
    assert found.distance_m == 8000
    assert "its total of 8.00 km and its points' 4.80 km differ; the total was taken" in found.damaged


def test_a_bike_that_stood_still_has_the_device_s_own_nothing() -> None:
    """The lap says 0 m and its points did not move: that is what the device counted, not what was worked out without it."""
    found = read(lap(60, 0, "".join(point(second, 0.0) for second in range(61))))
    assert (found.distance_m, found.distance_from) == (0.0, "device")


def test_a_time_beyond_any_ride_is_left_out() -> None:
    """What a ride may last is thirty days at most, its end included."""
    from pinchbolt.engines.rides._points import MOST_ELAPSED_S

    assert read(lap(MOST_ELAPSED_S, 5000)).damaged == ()
    assert "hours can't be; it was left out" in read(lap(MOST_ELAPSED_S + 1, 5000)).damaged[0]


@pytest.mark.parametrize(
    ("unit", "serial"), [("3907654321", "3907654321"), ("0", ""), ("", ""), ("7" * 50, "7" * 40)]
)
def test_the_device_has_its_name_and_its_serial(unit: str, serial: str) -> None:
    """A serial of nought is none; blanks in a name are one blank."""
    creator = f"<Creator><Name> Bench \n computer </Name><UnitId>{unit}</UnitId></Creator>"
    found = read(lap(600, 5000), creator=creator)
    assert (found.device, found.device_serial) == ("Bench computer", serial)
