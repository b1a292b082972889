"""FIT as a device writes it, file by file: what the protocol allows and what batteries do to it."""

import struct

import fitdecode
import pytest

from pinchbolt.engines.rides import _fit, read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    RECORD,
    SESSION,
    U8,
    U16,
    U32,
    definition,
    fit_file,
    ride_messages,
    values,
)

START = 1_780_000_000  # 2026-05-28T20:26:40Z
STEADY = [8.0] * 600


def ride(data, name="ride.fit"):
    """The one ride of a file."""
    (found,) = read_ride_file(name, data).rides
    return found


@pytest.mark.filterwarnings("ignore:dev_data_index", "ignore:no such field")
@pytest.mark.parametrize("big", [False, True])
@pytest.mark.parametrize("header", [12, 14])
@pytest.mark.parametrize("own", [0, 5])
def test_either_byte_order_header_and_own_fields(big, header, own):
    """600 s at 8 m/s are 4,800 m, however the device lays its bytes; the reference parser agrees."""
    data = fit_file(ride_messages(START, STEADY, big=big, own=own), header=header)
    found = ride(data)
    assert (found.start.timestamp(), found.elapsed_s, found.distance_m) == (START, 599.0, 4800.0)
    assert found.damaged == ()
    with fitdecode.FitReader(data) as frames:
        last = [f for f in frames if f.frame_type == fitdecode.FIT_FRAME_DATA and f.name == "record"][-1]
    assert last.get_value("distance") == 4800.0


def test_without_a_session_the_records_are_added_up():
    """The battery died before the ride was closed: distance, time and start are those of its points."""
    found = ride(fit_file(ride_messages(START, STEADY, with_session=False), told=0)[:-2])
    assert (found.start.timestamp(), found.elapsed_s) == (START, 599.0)
    assert found.distance_m == pytest.approx(4800.0, abs=0.005)
    assert found.damaged == ("the recording was not closed: its header tells no length",)


def test_standing_still_is_not_moving():
    """300 s of riding, 200 s at the lights, 100 s of riding: the bike rolled for 400 s (one step is the first)."""
    found = ride(fit_file(ride_messages(START, [8.0] * 300 + [0.0] * 200 + [8.0] * 100, with_session=False)))
    assert found.moving_s == 399.0


def test_a_cut_file_keeps_what_it_held_and_says_so():
    """Half the bytes are half the ride, and the sentence names the byte at which it ends."""
    data = fit_file(ride_messages(START, STEADY))
    found = ride(data[: len(data) // 2])
    assert 2300 < found.distance_m < 2500
    assert [words.split(":")[0] for words in found.damaged][:1] == ["cut short"]
    assert any("breaks off in a message at byte" in words for words in found.damaged)


def test_a_wrong_checksum_is_said_and_the_ride_kept():
    """One byte changed in the middle: real devices write such files, so the ride counts and the doubt is told."""
    data = bytearray(fit_file(ride_messages(START, STEADY)))
    data[-1] ^= 0xFF
    found = ride(bytes(data))
    assert found.distance_m == 4800.0
    assert found.damaged == ("its checksum is wrong: some bytes were changed",)


def test_what_a_session_sums_up_is_taken_in_its_own_units():
    """120 m up and 80 m down, 50 kcal of 4.184 kJ (NIST SP 811), 30,000 J at the pedals: as the protocol scales them, all by one."""
    messages = ride_messages(START, STEADY, with_session=False)
    began = START - EPOCH
    more = (*SESSION, (23, 2, U16), (11, 2, U16), (48, 4, U32))
    row = (began + 599, began, 599_000, 599_000, 480_000, 2, 0, 120, 80, 50, 30_000)
    found = ride(fit_file([*messages, definition(2, 18, more), values(2, more, row)]))
    assert (found.ascent_m, found.descent_m) == (120.0, 80.0)
    assert (found.energy_kj, found.work_kj) == (pytest.approx(50 * 4.184), pytest.approx(30.0))


@pytest.mark.parametrize(("hours", "believed"), [(23, True), (25, False), (-25, False)])
def test_a_start_on_another_day_than_its_points_is_not_believed_in_a_changed_file(hours, believed):
    """The session says a start hours off: within a day that is a clock set late, beyond it one changed byte; a whole file is believed."""
    messages = ride_messages(START, STEADY, with_session=False)
    began = START - EPOCH
    row = (began + 599, began + hours * 3600, 599_000, 599_000, 480_000, 2, 0, 12)
    whole = fit_file([*messages, definition(2, 18, SESSION), values(2, SESSION, row)])
    assert ride(whole).start.timestamp() == START + hours * 3600
    changed = bytearray(whole)
    changed[-1] ^= 0xFF
    found = ride(bytes(changed))
    assert found.start.timestamp() == (START + hours * 3600 if believed else START)
    assert any("contradicts its points; theirs was taken" in words for words in found.damaged) is not believed


def test_a_total_that_contradicts_its_points_in_a_changed_file_is_not_believed():
    """The total's byte was changed and the checksum shows it: the points are taken, and both figures said."""
    messages = ride_messages(START, STEADY)
    sound = fit_file(messages)
    at = sound.rindex(struct.pack("<I", 480000))
    changed = bytearray(sound)
    changed[at : at + 4] = struct.pack("<I", 960000)
    found = ride(bytes(changed))
    assert found.distance_m == pytest.approx(4800.0, abs=0.005)
    assert "its total of 9.60 km and its points' 4.80 km differ; the points were taken" in found.damaged


def test_chained_files_are_read_one_after_the_other():
    """A device that appends writes several whole files into one."""
    data = fit_file(ride_messages(START, STEADY)) + fit_file(ride_messages(START + 7200, [5.0] * 100))
    rides = read_ride_file("two.fit", data).rides
    assert [one.distance_m for one in rides] == [4800.0, 500.0]


def test_compressed_times_count_on_from_the_last_whole_one():
    """Five bits of time in the header, over their end at 32 s: 40 records one second apart last 40 s."""
    fields = ((5, 4, U32),)
    whole = ((253, 4, U32), (5, 4, U32))
    began = START - EPOCH
    messages = [definition(0, 0, FILE_ID), values(0, FILE_ID, (4, 255, 1, 7, began))]
    messages += [definition(1, 20, whole), values(1, whole, (began, 0)), definition(2, 20, fields)]
    for second in range(1, 41):
        head = 0x80 | 2 << 5 | (began + second) & 0x1F
        messages.append(bytes((head,)) + struct.pack("<I", second * 500))
    data = fit_file(messages)
    found = ride(data)
    assert (found.start.timestamp(), found.elapsed_s, found.distance_m) == (START, 40.0, 200.0)
    with fitdecode.FitReader(data) as frames:
        times = [
            f.get_value("timestamp").timestamp() for f in frames if f.frame_type == fitdecode.FIT_FRAME_DATA and f.name == "record"
        ]  # fmt: skip
    assert times[-1] - times[0] == 40.0


def test_packed_speed_and_distance_go_on_over_their_end():
    """12 bits of sixteenths of a metre start again at 256 m: 300 steps of 10 m are 3,000 m."""
    fields = ((253, 4, U32), (8, 3, 0x0D))
    began = START - EPOCH
    messages = [
        definition(0, 0, FILE_ID),
        values(0, FILE_ID, (4, 255, 1, 7, began)),
        definition(1, 20, fields),
    ]
    for second in range(301):
        far = second * 160 % 4096
        packed = bytes((0xE8, 0x03 | (far & 0x0F) << 4, far >> 4))
        messages.append(bytes((1,)) + struct.pack("<I", began + second) + packed)
    assert ride(fit_file(messages)).distance_m == 3000.0


def test_values_that_stand_for_nothing_count_for_nothing():
    """0xFFFFFFFF is no distance and 0x7FFFFFFF no place, so the last sound count stays."""
    began = START - EPOCH
    messages = ride_messages(START, [8.0] * 50, with_session=False)
    messages.append(values(1, RECORD, (began + 50, 0x7FFFFFFF, 0x7FFFFFFF, 0xFFFF, 0xFFFFFFFF)))
    found = ride(fit_file(messages))
    assert (found.distance_m, found.damaged) == (400.0, ())


def test_a_clock_that_was_never_set_tells_no_day():
    """Times below 0x10000000 count from when the device was switched on: the day is that of the file."""
    messages = [
        definition(0, 0, FILE_ID),
        values(0, FILE_ID, (4, 255, 1, 7, START - EPOCH)),
        definition(1, 20, RECORD),
    ]
    since = 2_000_000  # seconds since it was switched on, 23 days ago
    messages += [values(1, RECORD, (since + second, 0, 0, 3000, second * 500)) for second in range(60)]
    found = ride(fit_file(messages))
    assert found.start.timestamp() == START
    assert "its points have no day; the day is that of the file" in found.damaged


def test_a_plan_is_no_ride():
    """A course has points too, but nobody rode them."""
    messages = [definition(0, 0, FILE_ID), values(0, FILE_ID, (6, 255, 1, 7, START - EPOCH))]
    with pytest.raises(InputRefused, match=r"^plan.fit is a FIT file of a course: only recorded rides count"):
        read_ride_file("plan.fit", fit_file(messages))


def test_a_field_of_an_odd_size_is_left_out_and_the_rest_kept():
    """A device wrote altitude in three bytes; distance and time beside it are sound."""
    fields = ((253, 4, U32), (2, 3, U16), (5, 4, U32))
    began = START - EPOCH
    messages = [
        definition(0, 0, FILE_ID),
        values(0, FILE_ID, (4, 255, 1, 7, began)),
        definition(1, 20, fields),
    ]
    messages += [
        b"\x01" + struct.pack("<I", began + n) + b"abc" + struct.pack("<I", n * 500) for n in range(60)
    ]
    found = ride(fit_file(messages))
    assert (found.distance_m, found.ascent_m) == (295.0, None)


def test_a_file_made_to_fill_the_memory_is_read_to_its_bound(monkeypatch):
    """Two kinds of message in turn, more often than the bound (made small here): reading stops, says so, keeps what it had."""
    monkeypatch.setattr(_fit, "MOST_STEPS", 2000)
    small = ((0, 1, U8),)
    head = [*ride_messages(START, [8.0] * 60), definition(3, 20, ((3, 1, U8),)), definition(4, 21, small)]
    found = ride(fit_file([*head, b"\x03\x50\x04\x00" * 1010], told=0))
    assert found.distance_m == 480.0
    assert any(words.startswith("holds more messages than any ride") for words in found.damaged)


def test_a_count_that_starts_again_goes_on_from_there():
    """The device was reset half-way: 400 m, then from 0 again to 400 m, are 800 m ridden."""
    first = ride_messages(START, [8.0] * 50, with_session=False)
    again = ride_messages(START + 100, [8.0] * 50, with_session=False)[3:]
    assert ride(fit_file([*first, *again])).distance_m == pytest.approx(800.0, abs=0.005)
