"""GPX, TCX and CSV: points, laps and rows; and what is refused whole."""

import pytest

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.errors import InputRefused

HEAD = '<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">'


def gpx(*tracks, head=HEAD):
    """A file of tracks, each a list of (seconds after 08:00, north, east)."""
    body = ""
    for track in tracks:
        points = "".join(
            f'<trkpt lat="{north}" lon="{east}"><ele>100</ele><time>2026-05-01T{8 + at // 3600:02}:{at // 60 % 60:02}:{at % 60:02}Z'
            "</time></trkpt>"
            for at, north, east in track
        )
        body += f"<trk><type>cycling</type><trkseg>{points}</trkseg></trk>"
    return f"{head}{body}</gpx>".encode()


# A degree of longitude on the equator is 111,319.491 m on WGS 84 (2 pi a / 360).
EQUATOR = [(second, 0.0, 1.0 + second * 0.0001) for second in range(101)]


def test_a_track_on_the_equator_is_as_long_as_its_degrees():
    """0.01 degrees at the equator: 1,113.195 m; 100 s at 11.1 m/s all moving."""
    (ride,) = read_ride_file("a.gpx", gpx(EQUATOR)).rides
    assert ride.distance_m == pytest.approx(1113.195, abs=0.01)
    assert (ride.elapsed_s, ride.moving_s, ride.distance_from) == (100.0, 100.0, "track")


def test_a_jump_of_the_satellites_is_left_out_and_said():
    """One point thrown to another town and back would add 22 km; no bike does 160 km/h."""
    thrown = [*EQUATOR[:50], (50, 0.1, 1.005), *EQUATOR[51:]]
    (ride,) = read_ride_file("a.gpx", gpx(thrown)).rides
    assert ride.distance_m < 1120
    assert ride.damaged == ("2 jumps faster than any bike were left out of the distance",)


def test_pieces_of_one_ride_are_added_and_the_way_between_is_not():
    """Two tracks an hour apart are one ride with its gap; what was travelled between them was not recorded."""
    later = [(at + 3700, north, east + 0.5) for at, north, east in EQUATOR]
    (ride,) = read_ride_file("a.gpx", gpx(EQUATOR, later)).rides
    assert ride.distance_m == pytest.approx(2 * 1113.195, abs=0.02)
    assert ride.elapsed_s == 3800.0
    assert ride.damaged == ("54.55 km between its pieces were not recorded; they do not count",)


def test_between_two_segments_of_a_track_nothing_was_ridden():
    """Stopped, carried 2 km by train in ten minutes, and started again: the way between is not added."""
    later = [(at + 700, north, east + 0.03) for at, north, east in EQUATOR]
    data = gpx([*EQUATOR, *later]).decode()
    point = data.index('<trkpt lat="0.0" lon="1.03"')
    parted = f"{data[:point]}</trkseg><trkseg>{data[point:]}".encode()
    assert read_ride_file("a.gpx", data.encode()).rides[0].distance_m > 4400
    assert read_ride_file("a.gpx", parted).rides[0].distance_m == pytest.approx(2 * 1113.195, abs=0.02)


def test_a_cut_gpx_keeps_its_points_and_says_where_it_ends():
    """A phone that ran out of power leaves half a file."""
    data = gpx(EQUATOR)
    (ride,) = read_ride_file("a.gpx", data[: len(data) // 2]).rides
    assert 400 < ride.distance_m < 700
    assert ride.damaged == ("breaks off at line 1",)


def test_prefixes_and_leading_blanks_do_not_matter():
    """Some exporters prefix every element, some write blanks before the declaration."""
    data = (
        gpx(EQUATOR)
        .decode()
        .replace("<trk", "<x:trk")
        .replace("</trk", "</x:trk")
        .replace("xmlns=", 'xmlns:x="u" xmlns=')
    )
    (ride,) = read_ride_file("a.gpx", b"  \n" + data.encode()).rides
    assert ride.distance_m == pytest.approx(1113.195, abs=0.01)


def test_a_route_is_no_ride():
    """Planned points were never ridden."""
    data = f'{HEAD}<rte><rtept lat="1" lon="1"/></rte></gpx>'.encode()
    with pytest.raises(InputRefused, match=r"^plan.gpx holds only a planned route: a ride has a track"):
        read_ride_file("plan.gpx", data)


@pytest.mark.parametrize(
    "kind",
    [
        '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>',
        '<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE gpx SYSTEM "http://127.0.0.1:9/a.dtd">',
    ],
)
@pytest.mark.parametrize("name", ["a.gpx", "a.tcx"])
def test_document_types_and_entities_are_refused_whole(kind, name):
    """Neither a bomb of entities nor a file fetched from elsewhere: nothing of such a file is read."""
    root = "gpx" if name == "a.gpx" else "TrainingCenterDatabase"
    with pytest.raises(InputRefused, match=r"brings a document type along"):
        read_ride_file(name, f'<?xml version="1.0"?>{kind}<{root}>&b;</{root}>'.encode())


def test_elements_within_elements_without_end_break_off():
    """A hundred thousand opened elements end the reading, not the program."""
    with pytest.raises(InputRefused, match=r"^a.gpx holds no point of a track \(breaks off at line 1\)"):
        read_ride_file("a.gpx", b"<gpx>" + b"<a>" * 100_000)


LAP = (
    '<Lap StartTime="2026-05-01T08:00:00Z"><TotalTimeSeconds>906.18</TotalTimeSeconds>'
    "<DistanceMeters>9762.4433594</DistanceMeters><MaximumSpeed>15.2404995</MaximumSpeed><Calories>100</Calories></Lap>"
)


def tcx(inside, sport="Biking"):
    """A file of one activity."""
    return (
        '<TrainingCenterDatabase xmlns="http://www.example.com/xmlschemas/TrainingCenterDatabase/v2"><Activities>'
        f'<Activity Sport="{sport}"><Id>2026-05-01T08:00:00Z</Id>{inside}</Activity></Activities></TrainingCenterDatabase>'
    ).encode()


def test_laps_alone_tell_time_and_distance():
    """The published sample lap: 906.18 s, 9,762.4433594 m."""
    (ride,) = read_ride_file("a.tcx", tcx(LAP + LAP)).rides
    assert ride.distance_m == pytest.approx(2 * 9762.4433594, rel=1e-12)
    assert ride.moving_s == pytest.approx(2 * 906.18, rel=1e-12)
    assert ride.energy_kj == pytest.approx(200 * 4.184, rel=1e-12)


def test_a_lap_that_no_bike_rides_is_left_out():
    """1,000 km in a quarter of an hour: the total can't be, and the sentence says so."""
    (ride,) = read_ride_file("a.tcx", tcx(LAP.replace("9762.4433594", "1000000"))).rides
    assert (ride.distance_m, ride.distance_from) == (0.0, "nothing")
    assert ride.damaged == (
        "its total of 1,000.0 km can't be; it was left out",
        "it tells no distance: add it by word",
    )


def test_a_table_is_read_under_mapped_names():
    """Semicolons, decimal commas, durations with colons: an export of a diary."""
    data = b"Datum;Strecke;Zeit;Rad\n2026-05-01 08:00;1.042,5;1:30:00;Stadtrad\n"
    names = {"start": "Datum", "distance_km": "Strecke", "moving_s": "Zeit", "bike": "Rad"}
    (ride,) = read_ride_file("a.csv", data, names).rides
    assert (ride.distance_m, ride.moving_s, ride.bike) == (1042500.0, 5400.0, "Stadtrad")
    assert ride.damaged == ("its start has no time zone; UTC was taken",)


def test_a_table_with_one_bad_row_is_refused_whole():
    """Nothing is half taken: the sentence names the lines and the first fault."""
    data = b"start,distance_km\n2026-05-01,10\nyesterday,12\n2026-05-03,-4\n"
    with pytest.raises(InputRefused) as refused:
        read_ride_file("a.csv", data)
    assert refused.value.sentence == (
        'a.csv: 2 of 3 rows can\'t be read (lines 3, 4; the first: start is "yesterday": a day such as 2026-05-01 or '
        "2026-05-01T08:00:00Z is needed), so none was taken. Correct them and read the file again."
    )


@pytest.mark.parametrize(
    ("data", "names", "sentence"),
    [
        (
            b"day,far\n1,2\n",
            {},
            r"has the columns day, far: start and distance_km \(or distance_m\) are needed",
        ),
        (b"day,far\n1,2\n", {"when": "day"}, r'^Column "when" is not ours: start, distance_km'),
        (b"start,distance_km\n", {"distance_km": "far"}, r'has no column "far": it has start, distance_km'),
        (b"start,distance_km\n", {}, r"has a head but no rows"),
    ],
)
def test_a_table_without_its_columns_says_which_are_needed(data, names, sentence):
    """What is there, what is needed, and how to map one to the other."""
    with pytest.raises(InputRefused, match=sentence):
        read_ride_file("a.csv", data, names)


@pytest.mark.parametrize(
    ("name", "data"), [("a.jpg", b"\xff\xd8\xff\xe0" * 40), ("a.fit", b"\0" * 50), ("a.svg", b"<svg></svg>")]
)
def test_what_is_no_ride_file_is_refused_by_name(name, data):
    """The sentence names the file."""
    with pytest.raises(InputRefused, match=rf"^{name} "):
        read_ride_file(name, data)


@pytest.mark.parametrize(
    ("name", "data", "form"),
    [
        ("ride.fit", gpx(EQUATOR), "GPX"),
        ("ride.csv", tcx(LAP), "TCX"),
        ("ride.fit", b"start,distance_km\n2026-05-01,10\n", "CSV"),
        ("ride", b"start;distance_km\n2026-05-01;10\n", "CSV"),
    ],
)
def test_the_form_is_told_by_what_the_file_holds_not_by_its_name(name, data, form):
    """A renamed file is read as what it is."""
    assert read_ride_file(name, data).form == form


@pytest.mark.parametrize("head", ["", '<?xml version="1.0"?>', '<?xml version="1.0" encoding="UTF-8"?>'])
def test_letters_of_an_older_exporter_are_read_where_no_encoding_is_declared_or_a_wrong_one(head):
    """One Latin-1 letter in the device's name, and no or a wrong word about it: the ride is read whole, the name too."""
    plain = gpx(EQUATOR, head=head + '<gpx creator="Gerät">').decode()
    (ride,) = read_ride_file("a.gpx", plain.encode("latin-1")).rides
    assert ride.distance_m == pytest.approx(1113.195, abs=0.01)
    assert (ride.device, ride.damaged) == ("Gerät", ())
    assert read_ride_file("a.gpx", plain.encode()).rides[0].device == "Gerät"


def test_a_zone_that_is_not_told_is_said():
    """08:00 of nowhere is taken as UTC, in GPX and TCX as in a table, and the page says so."""
    words = "its start has no time zone; UTC was taken"
    assert words in read_ride_file("a.gpx", gpx(EQUATOR).replace(b"Z</time>", b"</time>")).rides[0].damaged
    assert read_ride_file("a.gpx", gpx(EQUATOR).replace(b"Z</time>", b"+02:00</time>")).rides[0].damaged == ()
    bare = tcx(LAP.replace("08:00:00Z", "08:00:00"))
    assert words in read_ride_file("a.tcx", bare).rides[0].damaged
    assert words not in read_ride_file("a.tcx", tcx(LAP)).rides[0].damaged
