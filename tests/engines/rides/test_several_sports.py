"""A triathlon in one file, files behind one another, damage, and who is believed: the total or the points."""

import struct

import pytest

from pinchbolt.engines.rides import read_ride_file
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    RECORD,
    SESSION,
    definition,
    fit_file,
    ride_messages,
    values,
)

START = 1_780_000_000
STEADY = [8.0] * 600
# Sport by number, seconds, metres a second: swim, change, bike, change, run.
LEGS = ((5, 1500, 1.0), (3, 180, 1.5), (2, 1690, 8.0), (3, 120, 1.5), (1, 1497, 3.0))
BIKE_M = 1690 * 8.0


def triathlon():
    """Five sessions one after the other, whose records count on from leg to leg as devices do."""
    began = START - EPOCH
    found = [
        definition(0, 0, FILE_ID),
        values(0, FILE_ID, (4, 255, 1, 77, began)),
        definition(1, 20, RECORD),
        definition(2, 18, SESSION),
    ]
    sessions, at, metres = [], began, 0.0
    for sport, long, speed in LEGS:
        for second in range(1, long + 1):
            metres += speed
            found.append(values(1, RECORD, (at + second, 0x7FFFFFFF, 0x7FFFFFFF, 3000, round(metres * 100))))
        row = (at + long, at, long * 1000, long * 1000, round(long * speed * 100), sport, 0, 0)
        sessions.append(values(2, SESSION, row))
        at += long
    return [*found, *sessions]


def test_each_leg_of_a_triathlon_has_its_own_distance_and_no_damage():
    """Swim 1.5 km, bike 13.52 km, run 4.49 km: what was counted before a leg is not part of it, so nothing differs."""
    rides = read_ride_file("a.fit", fit_file(triathlon())).rides
    assert [(ride.distance_m, ride.is_ride, ride.damaged) for ride in rides] == [
        (1500.0, False, ()),
        (BIKE_M, True, ()),
        (4491.0, False, ()),
    ]


@pytest.mark.parametrize("wrong", [b"\xff", b"\x01"])
def test_the_bike_leg_is_right_to_one_percent_where_the_checksum_fails_and_the_total_is_gone(wrong):
    """The total's highest byte was changed: the leg's own points are taken, 13.52 km to 1 %, not those of the swim as well."""
    data = bytearray(fit_file(triathlon()))
    at = data.index(struct.pack("<I", round(BIKE_M * 100)))
    data[at + 3 : at + 4] = wrong
    bike = next(ride for ride in read_ride_file("a.fit", bytes(data)).rides if ride.is_ride)
    assert bike.distance_m == pytest.approx(BIKE_M, rel=0.01)
    assert "its checksum is wrong: some bytes were changed" in bike.damaged


def test_a_flipped_bit_elsewhere_changes_no_leg():
    """One bit of the swim's altitude: the checksum fails, every leg keeps its total."""
    data = bytearray(fit_file(triathlon()))
    data[400] ^= 4
    rides = read_ride_file("a.fit", bytes(data)).rides
    assert [ride.distance_m for ride in rides] == [1500.0, BIKE_M, 4491.0]


def test_a_leg_whose_span_is_gone_does_not_take_the_points_of_the_others():
    """A session that lost its start has no points that are known to be its own: its total stands, the other legs keep theirs."""
    messages = triathlon()
    bike = struct.unpack("<IIIIIBBH", messages[-3][1:])
    messages[-3] = values(2, SESSION, (bike[0], 0xFFFFFFFF, *bike[2:]))
    data = bytearray(fit_file(messages))
    data[-1] ^= 1
    rides = read_ride_file("a.fit", bytes(data)).rides
    assert [ride.distance_m for ride in rides] == [1500.0, BIKE_M, 4491.0]


def test_a_file_appended_to_another_that_counts_on_is_not_the_sum_of_both():
    """Two chained files of 4,800 m, the second counting from 4,800 to 9,600 and without a session: 4,800 m each."""
    first, second = ride_messages(START, STEADY), ride_messages(START + 7200, STEADY, with_session=False)
    on = [second[0], second[1], second[2]]
    for message in second[3:]:
        row = struct.unpack("<IiiHI", message[1:])
        on.append(values(1, RECORD, (*row[:4], row[4] + 480000)))
    rides = read_ride_file("two.fit", fit_file(first) + fit_file(on)).rides
    assert [ride.distance_m for ride in rides] == pytest.approx([4800.0, 4800.0], abs=0.01)


def with_total(messages, metres):
    """The same messages, the session's total set to so many metres."""
    row = list(struct.unpack("<IIIIIBBH", messages[-1][1:]))
    row[4] = round(metres * 100)
    return [*messages[:-1], values(2, SESSION, row)]


@pytest.mark.parametrize("cut", [1, 2])
def test_a_total_that_points_do_not_bear_out_is_not_taken_in_a_file_that_was_cut(cut):
    """Not only a wrong checksum is damage: 20 km said for 4.8 km of points in a file without its end."""
    found = read_ride_file("a.fit", fit_file(with_total(ride_messages(START, STEADY), 20000))[:-cut]).rides[0]
    assert found.distance_m == pytest.approx(4800.0, abs=0.01)
    assert "its total of 20.00 km and its points' 4.80 km differ; the points were taken" in found.damaged


def test_a_total_without_any_point_in_a_damaged_file_is_held_against_a_bikes_pace():
    """Ten minutes and 26 km in a damaged file without points: left out, and said; 7 km are taken."""
    head = ride_messages(START, STEADY)
    bare = [head[0], head[1], *head[-2:]]
    (fast,) = read_ride_file("a.fit", fit_file(with_total(bare, 26000))[:-1]).rides
    assert (fast.distance_m, fast.distance_from) == (0.0, "nothing")
    assert any("is borne out by no point of the damaged file" in words for words in fast.damaged)
    assert read_ride_file("a.fit", fit_file(with_total(bare, 7000))[:-1]).rides[0].distance_m == 7000.0


def jumping(messages, at, seconds):
    """The same ride, but from second *at* on the clock and the count are so much further: a stretch without records."""
    found = messages[:3]
    for message in messages[3:-2]:
        row = struct.unpack("<IiiHI", message[1:])
        second = row[0] - (START - EPOCH)
        if at <= second < at + seconds:
            continue
        found.append(message)
    return [*found, *messages[-2:]]


def test_where_jumps_were_left_out_the_points_are_no_witness_against_the_total():
    """A wrong checksum and a count with a slip: the track bears the total out, so the total of 4,800 m stands."""
    messages = ride_messages(START, STEADY)
    slipped = list(messages)
    for at in (200, 201, 202, 203, 300, 301, 302, 303):
        row = list(struct.unpack("<IiiHI", messages[at][1:]))
        row[4] += 20_000_000
        slipped[at] = values(1, RECORD, row)
    for second in range(300, 420):
        # The count stands still for two minutes while the track goes on: 960 m are missing from its sum.
        row = list(struct.unpack("<IiiHI", slipped[second][1:]))
        row[4] = 297 * 800
        slipped[second] = values(1, RECORD, row)
    data = bytearray(fit_file(slipped))
    data[-1] ^= 1
    found = read_ride_file("a.fit", bytes(data)).rides[0]
    assert found.distance_m == 4800.0
    assert found.damaged == ("its checksum is wrong: some bytes were changed",)


@pytest.mark.parametrize("sport", [(2, 0), (1, 0)])
def test_points_that_cover_little_of_the_ride_alarm_nobody(sport):
    """A sound file of an hour with points for its first ten minutes: the total is right, and nothing is said."""
    messages = with_total(ride_messages(START, STEADY, sport=sport), 28800)
    row = list(struct.unpack("<IIIIIBBH", messages[-1][1:]))
    row[2] = row[3] = 3_600_000
    found = read_ride_file("a.fit", fit_file([*messages[:-1], values(2, SESSION, row)])).rides[0]
    assert (found.distance_m, found.damaged) == (28800.0, ())


@pytest.mark.parametrize(("sport", "said"), [((2, 0), True), ((1, 0), False)])
def test_points_of_the_whole_ride_that_contradict_its_total_are_said_of_a_ride_alone(sport, said):
    """A sound file whose every point counts 4.8 km and whose total is 6 km: said of a ride; a run wears nothing."""
    found = read_ride_file(
        "a.fit", fit_file(with_total(ride_messages(START, STEADY, sport=sport), 6000))
    ).rides[0]
    assert found.distance_m == 6000.0
    words = "its total of 6.00 km and its points' 4.80 km differ; the total was taken"
    assert (words in found.damaged) is said


def test_a_jump_is_not_said_where_the_total_is_taken():
    """Half an hour without a record: the device counted on, its total stands, and no jump changed anything."""
    found = read_ride_file("a.fit", fit_file(jumping(ride_messages(START, STEADY), 100, 400))).rides[0]
    assert (found.distance_m, found.damaged) == (4800.0, ())
