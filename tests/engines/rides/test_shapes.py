"""Shapes of files that devices and exporters write beside the usual one: each kilometre is told, or the doubt is.

FIT by definitions and messages of the protocol, GPX and TCX by their schemas; lengths worked by hand (0.001 degrees on the equator
are 111.3195 m: 2 pi 6,378,137 m / 360,000).
"""

from math import nan

import pytest

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.engines.rides._xml import number
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    SESSION,
    U16,
    U32,
    definition,
    fit_file,
    ride_messages,
    values,
)

START = 1_780_000_000
DEGREE_M = 111_319.49


def gpx(*segments: str, extra: str = "") -> bytes:
    """One track of these segments."""
    pieces = "".join(f"<trkseg>{one}</trkseg>" for one in segments)
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1"><trk>{extra}{pieces}</trk></gpx>'.encode()


def point(second: int, east: float, extra: str = "") -> str:
    """A point on the equator."""
    at = f"2026-05-01T08:{second // 60:02d}:{second % 60:02d}Z"
    return f'<trkpt lat="0" lon="{east:.6f}"><time>{at}</time>{extra}</trkpt>'


def line(many: int, first: int = 0, east: float = 1.0, unit: float | None = None) -> str:
    """So many points, 11.13 m a second; with a distance of the exporter's own where *unit* is given."""
    return "".join(
        point(
            first + n,
            east + n * 0.0001,
            ""
            if unit is None
            else f"<extensions><distance>{n * 0.0001 * DEGREE_M * unit:.4f}</distance></extensions>",
        )
        for n in range(many)
    )


def the_ride(name: str, data: bytes):
    """The one ride of a file."""
    (ride,) = read_ride_file(name, data).rides
    return ride


@pytest.mark.parametrize("unit", [0.001, 1 / 1609.344, 100.0, 0.3048])
def test_a_distance_in_a_unit_of_its_own_is_not_believed_over_the_track(unit: float) -> None:
    """Kilometres, miles, centimetres, feet in a GPX: the track is 2,226.4 m, and both are said, unless no bike goes as the other."""
    ride = the_ride("a.gpx", gpx(line(201, unit=unit)))
    assert ride.distance_m == pytest.approx(200 * 0.0001 * DEGREE_M, rel=1e-4)
    assert any("the track was taken" in words for words in ride.damaged) or unit == 100.0


def test_a_distance_in_metres_that_the_track_bears_out_is_taken() -> None:
    """Counted by the wheel 2 % more than the track: the wheel's is the ride's, and nothing is said."""
    ride = the_ride("a.gpx", gpx(line(201, unit=1.02)))
    assert (ride.distance_m, ride.damaged) == (pytest.approx(200 * 0.0001 * DEGREE_M * 1.02, rel=1e-4), ())


def test_a_distance_indoors_needs_no_track() -> None:
    """On rollers the satellites see a bike that stands."""
    still = "".join(
        point(n, 1 + (n % 2) * 1e-6, f"<extensions><distance>{n * 8}</distance></extensions>")
        for n in range(101)
    )
    ride = the_ride("a.gpx", gpx(still, extra="<type>indoor cycling</type>"))
    assert (ride.distance_m, ride.damaged) == (800.0, ())


def test_a_way_that_was_not_recorded_is_said() -> None:
    """Started again 5.6 km on: somebody forgot it. A stop at the lights is not worth a word."""
    far = the_ride("a.gpx", gpx(line(101), line(101, 700, 1.06)))
    assert far.distance_m == pytest.approx(2 * 100 * 0.0001 * DEGREE_M, rel=1e-4)
    assert far.damaged == ("5.57 km between its pieces were not recorded; they do not count",)
    assert the_ride("a.gpx", gpx(line(101), line(101, 700, 1.0101))).damaged == ()


SPEEDS = ((253, 4, U32), (6, 2, U16))


def speeds_alone(session: bool) -> bytes:
    """Ten minutes at 8 m/s, told by speed alone."""
    began = START - EPOCH
    rows = [values(1, SPEEDS, (began + n, 8000)) for n in range(601)]
    last = (began + 600, began, 600_000, 600_000, 0xFFFFFFFF, 2, 0, 12)
    ends = [definition(2, 18, SESSION), values(2, SESSION, last)] if session else []
    return fit_file(
        [
            definition(0, 0, FILE_ID),
            values(0, FILE_ID, (4, 255, 1, 77, began)),
            definition(1, 20, SPEEDS),
            *rows,
            *ends,
        ]
    )


@pytest.mark.parametrize("session", [False, True])
def test_speeds_alone_are_added_up_and_said(session: bool) -> None:
    """4,800 m; that they are speeds is a doubt."""
    ride = the_ride("a.fit", speeds_alone(session))
    assert (ride.distance_m, ride.distance_from) == (pytest.approx(4800), "speeds")
    assert ride.damaged == ("it holds no distance: its speeds were added up",)


def test_a_ride_without_a_distance_says_so() -> None:
    """An hour on a trainer that counts no metres: 0 km are never taken in silence."""
    began = START - EPOCH
    row = (began + 3600, began, 3_600_000, 3_600_000, 0xFFFFFFFF, 2, 6, 0xFFFF)
    data = fit_file(
        [
            definition(0, 0, FILE_ID),
            values(0, FILE_ID, (4, 255, 1, 77, began)),
            definition(2, 18, SESSION),
            values(2, SESSION, row),
        ]
    )
    assert the_ride("a.fit", data).damaged == ("it tells no distance: add it by word",)


def test_a_session_without_its_start_has_its_points_all_the_same() -> None:
    """Two sessions behind one another, each without a start: told by when it was written, and how long it was."""
    first = ride_messages(START, [8.0] * 300, with_session=False)
    second = ride_messages(START + 300, [6.0] * 300, with_session=False)[3:]
    began = START - EPOCH
    rows = [
        (began + 299, 0xFFFFFFFF, 299_000, 299_000, 0xFFFFFFFF, 2, 0, 12),
        (began + 599, 0xFFFFFFFF, 299_000, 299_000, 0xFFFFFFFF, 2, 0, 12),
    ]
    data = fit_file([*first, *second, definition(2, 18, SESSION), *(values(2, SESSION, row) for row in rows)])
    rides = read_ride_file("a.fit", data).rides
    assert [ride.distance_m for ride in rides] == [
        pytest.approx(2400, abs=8.1),
        pytest.approx(1800, abs=8.1),
    ]
    assert [ride.start.timestamp() for ride in rides] == [START, START + 300]


LAP = '<Lap StartTime="2026-05-01T08:{at:02d}:00Z"><TotalTimeSeconds>60</TotalTimeSeconds>{told}<Track>{points}</Track></Lap>'


def tcx(*laps: str, after: str = "") -> bytes:
    """One activity of laps."""
    return (
        '<TrainingCenterDatabase><Activities><Activity Sport="Biking"><Id>2026-05-01T08:00:00Z</Id>'
        f"{''.join(laps)}</Activity></Activities>{after}</TrainingCenterDatabase>"
    ).encode()


def places(first: int, many: int = 60, count: bool = False) -> str:
    """Points on the equator, 11.13 m a second."""
    found = []
    for n in range(first, first + many):
        told = f"<DistanceMeters>{n * 11.13195:.3f}</DistanceMeters>" if count else ""
        found.append(
            f"<Trackpoint><Time>2026-05-01T08:{n // 60:02d}:{n % 60:02d}Z</Time><Position><LatitudeDegrees>0</LatitudeDegrees>"
            f"<LongitudeDegrees>{1 + n * 0.0001:.6f}</LongitudeDegrees></Position>{told}</Trackpoint>"
        )
    return "".join(found)


def test_the_second_between_two_laps_is_ridden_as_well() -> None:
    """Ten laps of a minute that tell no distance: 599 steps of 11.13 m, not 590."""
    ride = the_ride("a.tcx", tcx(*(LAP.format(at=n, told="", points=places(60 * n)) for n in range(10))))
    assert ride.distance_m == pytest.approx(599 * 11.13195, rel=1e-4)


def test_laps_of_which_some_tell_no_distance_give_way_to_the_points() -> None:
    """The first lap says 668 m, the second nothing: the points say 1,325 m."""
    told = "<DistanceMeters>668</DistanceMeters>"
    laps = [
        LAP.format(at=n, told=told if n == 0 else "", points=places(60 * n, count=True)) for n in range(2)
    ]
    assert the_ride("a.tcx", tcx(*laps)).distance_m == pytest.approx(119 * 11.13195, rel=1e-4)


def test_a_course_in_the_same_file_is_a_plan() -> None:
    """What follows the activity adds nothing to it."""
    told = "<DistanceMeters>668</DistanceMeters>"
    plan = f"<Courses><Course><Name>x</Name>{LAP.format(at=30, told=told, points=places(1800))}</Course></Courses>"
    lap = LAP.format(at=0, told=told, points=places(0))
    ride = the_ride("a.tcx", tcx(lap, after=plan))
    assert (ride.distance_m, ride.elapsed_s) == (668.0, 60.0)


def test_a_count_that_starts_again_has_gone_what_it_shows_first() -> None:
    """400 m, switched off and on; the first point of the new count shows 30 m: 400 + 30 + 49 x 8 m."""
    first = ride_messages(START, [8.0] * 50, with_session=False)
    again = ride_messages(START + 100, [30.0] + [8.0] * 49, with_session=False)[3:]
    assert the_ride("a.fit", fit_file([*first, *again])).distance_m == pytest.approx(822.0, abs=0.005)


def test_a_comma_in_a_number_is_a_point() -> None:
    """An exporter that writes in the language of its machine: 1,0010 degrees."""
    told = gpx(line(101)).decode()
    for n in range(101):
        told = told.replace(f'lon="{1 + n * 0.0001:.6f}"', f'lon="{1 + n * 0.0001:.6f}"'.replace(".", ","))
    ride = the_ride("a.gpx", told.encode())
    assert (ride.distance_m, ride.damaged) == (pytest.approx(100 * 0.0001 * DEGREE_M, rel=1e-4), ())


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("12,345", nan),
        ("-12,345", nan),
        ("123,456", nan),
        ("0,345", 0.345),
        ("1234,567", 1234.567),
        ("12,34", 12.34),
        ("12.345", 12.345),
    ],
)
def test_a_comma_that_may_stand_between_thousands_is_no_figure(text: str, read: float) -> None:
    """12,345 m of height or twelve: which of them is not said, so it is not read as either."""
    assert number(text) == pytest.approx(read, nan_ok=True)


def test_degrees_with_three_figures_after_the_comma_are_no_thousands() -> None:
    """1,005 degrees east: no place has a thousand."""
    told = gpx("".join(point(10 * n, 1 + n * 0.001) for n in range(51))).decode()
    for n in range(51):
        told = told.replace(f'lon="{1 + n * 0.001:.6f}"', f'lon="{1 + n * 0.001:.3f}"'.replace(".", ","))
    assert the_ride("a.gpx", told.encode()).distance_m == pytest.approx(50 * 0.001 * DEGREE_M, rel=1e-4)


def test_a_triathlon_as_a_table_keeps_its_bike_leg() -> None:
    """Swim, bike and run with a change of clothes between: each activity is one, the change none."""

    def leg(sport: str, at: int, metres: int) -> str:
        lap = LAP.format(at=at, told=f"<DistanceMeters>{metres}</DistanceMeters>", points="")
        return f'<Activity Sport="{sport}"><Id>2026-05-01T08:{at:02d}:00Z</Id>{lap}</Activity>'

    change = (
        f"<Transition>{LAP.format(at=9, told='<DistanceMeters>90</DistanceMeters>', points='')}</Transition>"
    )
    data = (
        "<TrainingCenterDatabase><Activities><MultiSportSession><Id>2026-05-01T08:00:00Z</Id>"
        f"<FirstSport>{leg('Other', 0, 750)}</FirstSport><NextSport>{change}{leg('Biking', 10, 2000)}</NextSport>"
        f"<NextSport>{leg('Running', 40, 500)}</NextSport></MultiSportSession></Activities></TrainingCenterDatabase>"
    )
    rides = read_ride_file("a.tcx", data.encode()).rides
    assert [(ride.is_ride, ride.distance_m) for ride in rides] == [
        (None, 750.0),
        (True, 2000.0),
        (False, 500.0),
    ]
    assert rides[0].ask and not rides[1].ask


def test_tracks_of_one_file_far_apart_say_the_way_between() -> None:
    """Two tracks within six hours are one ride; the 5.6 km between them were not recorded."""
    one, other = gpx(line(101)).decode(), gpx(line(101, 700, 1.06)).decode()
    joined = one.replace("</gpx>", "") + other[other.index("<trk>") :]
    ride = the_ride("a.gpx", joined.encode())
    assert ride.damaged == ("5.57 km between its pieces were not recorded; they do not count",)
