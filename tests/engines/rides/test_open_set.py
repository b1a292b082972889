"""The open set of files: other sports beside rides, several in one file, walks, runs, water; by other writers and other readers.

Files and licences: samples/NOTICE.md. FIT by an independent writer (`fit-tool` 0.9.16), held against an independent reader
(`fitdecode` 0.11.0); GPX and TCX against a plain walk over the tree.
"""

import math
from datetime import UTC
from itertools import pairwise

import pytest

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.reference import SAMPLES, fit_by_reference, gpx_by_tree, tcx_by_tree
from tests.engines.rides.sample_legs import LEGS

RIDING = {"cycling", "e_biking"}
# By the open profile: what the branch says where the sport is only a machine.
RIDING_BRANCHES = {"indoor_cycling", "spin"}


def read(name: str, data: bytes | None = None):
    """The rides of one sample, or of its bytes changed."""
    return read_ride_file(name, (SAMPLES / name).read_bytes() if data is None else data).rides


@pytest.mark.parametrize("name", LEGS)
def test_each_leg_is_read_as_the_reference_reads_it_and_only_riding_counts(name: str) -> None:
    """Start to the second, times to a millisecond, distance to a centimetre of the format; what is no riding is left out."""
    sessions, _ = fit_by_reference(SAMPLES / name)
    told = [one for one in sessions if one.sport != "transition"]
    rides = read(name)
    assert [ride.start for ride in rides] == [one.start for one in told]
    for ride, one in zip(rides, told, strict=True):
        assert ride.distance_m == pytest.approx(one.distance_m, abs=0.005)
        assert (ride.elapsed_s, ride.moving_s) == (
            pytest.approx(one.elapsed_s, abs=5e-4),
            pytest.approx(one.timer_s, abs=5e-4),
        )
        assert ride.is_ride is (one.sport in RIDING or one.branch in RIDING_BRANCHES)
        assert (ride.ask, ride.damaged) == ("", ())
    assert [(one.sport, one.distance_m) for one in told] == [
        (sport, pytest.approx(metres)) for sport, metres in LEGS[name] if sport != "transition"
    ]


@pytest.mark.parametrize("name", [name for name, legs in LEGS.items() if len(legs) > 1])
@pytest.mark.parametrize("at", [-1, 14, 900])
def test_legs_stay_right_to_a_hundredth_where_the_file_is_damaged(name: str, at: int) -> None:
    """One bit of the checksum, of the first field or of a record in the middle: each riding leg within 1 % of its true length."""
    data = bytearray((SAMPLES / name).read_bytes())
    data[at] ^= 1
    truth = [metres for sport, metres in LEGS[name] if sport == "cycling"]
    rides = [ride for ride in read(name, bytes(data)) if ride.is_ride]
    assert [ride.distance_m for ride in rides] == [pytest.approx(metres, rel=0.01) for metres in truth]
    assert all(ride.damaged for ride in rides)


@pytest.mark.parametrize(
    ("name", "is_ride"), [("run.tcx", [False]), ("laps-alone.tcx", [True]), ("other.tcx", [None])]
)
def test_a_table_of_laps_is_read_as_its_own_laps(name: str, is_ride: list[bool | None]) -> None:
    """A run is left out, laps without a point count as they say, and 'other' is asked about, never counted in silence."""
    rides = read(name)
    assert [ride.is_ride for ride in rides] == is_ride
    assert bool(rides[0].ask) is (is_ride[0] is None)
    if name not in ("laps-alone.tcx", "other.tcx"):
        assert rides[0].distance_m == pytest.approx(tcx_by_tree(SAMPLES / name).distance_m, rel=1e-9)
    else:
        assert rides[0].distance_m == 5000.0


def test_two_activities_in_one_file_are_two_and_the_run_is_left_out() -> None:
    """A ride of 500 m and a run of 1,000 m an hour later."""
    assert [(ride.is_ride, ride.distance_m) for ride in read("ride-and-run.tcx")] == [
        (True, 500.0),
        (False, 1000.0),
    ]


def test_a_time_without_a_zone_among_others_is_said() -> None:
    """Three points in three zones, the last in none: the doubt is said."""
    assert any("time zone" in words for words in read("mixed-zones.tcx")[0].damaged)


@pytest.mark.parametrize("name", ["in-pieces.gpx", "by-car.gpx", "short-run.gpx"])
def test_a_track_is_as_long_as_its_points_within_its_pieces(name: str) -> None:
    """Within 0.5 % of a sphere's length (haversine, R 6371 km); start as told."""
    times, places = gpx_by_tree(SAMPLES / name)
    (ride,) = read(name)
    assert ride.start == min(one if one.tzinfo else one.replace(tzinfo=UTC) for one in times).astimezone(UTC)
    steps = [_sphere(*one, *other) for one, other in pairwise(places)]
    # Between pieces the way is not ridden: the only step that may be missing.
    assert sum(steps) - max(steps) * 1.005 <= ride.distance_m <= sum(steps) * 1.005
    assert ride.is_ride is (False if name == "short-run.gpx" else None)


def test_what_holds_no_ride_says_what_it_is() -> None:
    """A planned route is refused by that name; a single point is a ride of no length."""
    with pytest.raises(InputRefused, match="holds only a planned route"):
        read("route.gpx")
    assert [ride.distance_m for ride in read("one-point.gpx")] == [0.0]


def test_the_open_set_is_twice_what_it_was_and_each_file_has_its_licence() -> None:
    """Nine files at first; each one is in the notice."""
    names = {path.name for path in SAMPLES.iterdir() if path.suffix in (".fit", ".gpx", ".tcx")}
    notice = (SAMPLES / "NOTICE.md").read_text(encoding="utf-8")
    assert len(names) >= 18
    assert not [name for name in names if name not in notice]


def _sphere(north: float, east: float, north2: float, east2: float) -> float:
    one, other = math.radians(north), math.radians(north2)
    half = math.sin((other - one) / 2) ** 2
    half += math.cos(one) * math.cos(other) * math.sin(math.radians(east2 - east) / 2) ** 2
    return 2 * 6371000 * math.asin(math.sqrt(half))
