"""Real recordings against a reference parser. Files and licences: samples/NOTICE.md."""

import math
from itertools import pairwise

import pytest

from pinchbolt.engines.rides import read_ride_file
from tests.engines.rides.reference import SAMPLES, fit_by_reference, gpx_by_tree, tcx_by_tree

RIDES = ("short-ride.fit", "indoors.fit", "to-work.fit", "to-work-by-watch.fit", "a-run.fit")


def read(name):
    """The rides of one sample."""
    return read_ride_file(name, (SAMPLES / name).read_bytes()).rides


@pytest.mark.parametrize("name", RIDES)
def test_a_fit_recording_reads_as_the_reference_parser_reads_it(name):
    """Start to the second, times to a millisecond, distance to a centimetre: the units of the format."""
    (session,), counts = fit_by_reference(SAMPLES / name)
    (ride,) = read(name)
    assert ride.start == session.start
    assert ride.elapsed_s == pytest.approx(session.elapsed_s, abs=0.0005)
    assert ride.moving_s == pytest.approx(session.timer_s, abs=0.0005)
    assert ride.distance_m == pytest.approx(session.distance_m, abs=0.005)
    assert ride.damaged == ()
    assert not counts or counts[-1] == pytest.approx(session.distance_m, abs=1.0)


def test_several_sports_in_one_file_are_several_rides_without_the_changing():
    """The reference parser sees three sessions; changing shoes between two sports is none of ours."""
    sessions, _ = fit_by_reference(SAMPLES / "three-sports.fit")
    assert [one.sport for one in sessions] == ["running", "transition", "rowing"]
    rides = read("three-sports.fit")
    assert [ride.start for ride in rides] == [one.start for one in sessions if one.sport != "transition"]
    assert [ride.is_ride for ride in rides] == [False, False]


def test_a_run_is_told_from_a_ride_and_a_trainer_from_the_road():
    """What was done is in the file: only riding counts for a bike, and only the road for a front tyre."""
    assert [read(name)[0].is_ride for name in RIDES] == [True, True, True, True, False]
    assert [read(name)[0].indoor for name in ("indoors.fit", "short-ride.fit")] == [True, False]


def test_fields_of_a_developer_are_stepped_over():
    """The reference parser's last distance of this file is 3,710 m; its points have no times at all."""
    _, counts = fit_by_reference(SAMPLES / "own-fields.fit")
    (ride,) = read("own-fields.fit")
    assert counts[-1] == 3710.0
    assert ride.distance_m == pytest.approx(counts[-1], abs=0.005)
    assert ride.start is None


def test_a_tcx_recording_reads_as_its_own_laps():
    """Laps added up by a plain walk over the tree; the format has decimals without end, so 1e-9 of it."""
    session = tcx_by_tree(SAMPLES / "short-ride.tcx")
    (ride,) = read("short-ride.tcx")
    assert ride.start == session.start
    assert ride.elapsed_s == pytest.approx(session.elapsed_s, abs=0.0005)
    assert ride.distance_m == pytest.approx(session.distance_m, rel=1e-9)


def test_a_gpx_recording_reads_as_its_own_points():
    """Start and end from a plain walk over the tree; length within 0.5 % of a sphere's (haversine, R 6371 km)."""
    times, places = gpx_by_tree(SAMPLES / "short-ride.gpx")
    (ride,) = read("short-ride.gpx")
    assert (ride.start, ride.elapsed_s) == (times[0], (times[-1] - times[0]).total_seconds())
    sphere = sum(haversine(*one, *other) for one, other in pairwise(places))
    assert ride.distance_m == pytest.approx(sphere, rel=0.005)


def haversine(north, east, north2, east2):
    """Metres on a sphere."""
    one, other = math.radians(north), math.radians(north2)
    half = (
        math.sin((other - one) / 2) ** 2
        + math.cos(one) * math.cos(other) * math.sin(math.radians(east2 - east) / 2) ** 2
    )
    return 2 * 6371000.0 * math.asin(math.sqrt(half))


def test_one_recording_in_two_forms_has_one_distance():
    """The device's distance is the same in FIT and TCX of one ride: 668.19 m."""
    assert read("short-ride.fit")[0].distance_m == pytest.approx(668.19, abs=0.005)
    assert read("short-ride.tcx")[0].distance_m == pytest.approx(668.19, abs=0.005)
