"""Any FIT file that the protocol allows, held against an independent reader: definitions in any order, byte order, size and mixture.

Files are made by chance from the protocol's own rules; the other reader is `fitdecode` 0.11.0 (MIT). `make fuzz` asks new ones.
"""

import io
import struct
from typing import Any

import fitdecode
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    S32,
    SESSION,
    U16,
    U32,
    definition,
    fit_file,
    values,
)

# The other reader warns of a developer's field that nobody described.
pytestmark = pytest.mark.filterwarnings("ignore")

START = 1_780_000_000
U8_ARRAY, FLOAT, BYTES = 0x02, 0x88, 0x0D
# Fields of a record that a ride needs, and some that it does not: number, bytes, base type.
TIME, NORTH, EAST, COUNT = (253, 4, U32), (0, 4, S32), (1, 4, S32), (5, 4, U32)
COMPANY = [
    (3, 1, 0x02),
    (4, 1, 0x02),
    (7, 2, U16),
    (13, 1, 0x01),
    (87, 2, U16),
    (107, 6, U16),
    (200, 5, BYTES),
    (201, 4, FLOAT),
]
NOT_TOLD = 0xFFFFFFFF


@st.composite
def recordings(draw: st.DrawFn) -> tuple[bytes, bool]:
    """One file: runs of records, each under a definition of its own, with other messages between; whether a session closes it."""
    messages = [definition(0, 0, FILE_ID), values(0, FILE_ID, (4, 255, 1, 77, START - EPOCH))]
    now, centimetres, told_at = START - EPOCH, 0, None
    for _ in range(draw(st.integers(1, 5))):
        local, big, own = draw(st.integers(1, 3)), draw(st.booleans()), draw(st.sampled_from([0, 0, 1, 3]))
        packed = told_at is not None and draw(st.booleans())
        fields = [COUNT, *draw(st.lists(st.sampled_from(COMPANY), max_size=3, unique_by=lambda one: one[0]))]
        if not packed:
            fields.append(TIME)
        if draw(st.booleans()):
            fields += [NORTH, EAST]
        fields = draw(st.permutations(fields))
        messages.append(definition(local, 20, fields, big=big, own=own))
        for _ in range(draw(st.integers(1, 12))):
            now += draw(st.integers(1, 20))
            centimetres += draw(st.integers(0, 1200))
            count = draw(st.sampled_from([centimetres] * 5 + [NOT_TOLD]))
            body = b"".join(_packed(draw, one, now, count, big) for one in fields) + b"\x07" * own
            head = 0x80 | local << 5 | now & 31 if packed else local
            messages.append(bytes((head,)) + body)
            told_at = now
        if draw(st.booleans()):
            other = draw(st.sampled_from([21, 23, 49, 132, 0xFF00]))
            messages += [
                definition(4, other, ((250, 3, BYTES),)),
                b"\x04" + draw(st.binary(min_size=3, max_size=3)),
            ]
    closes = draw(st.booleans())
    if closes:
        last = (now, START - EPOCH, 1000, 1000, centimetres, 2, 0, 12)
        big = draw(st.booleans())
        messages += [definition(5, 18, SESSION, big=big), values(5, SESSION, last, big=big)]
    return fit_file(messages, header=draw(st.sampled_from([12, 14]))), closes


def _packed(draw: st.DrawFn, field: tuple[int, int, int], now: int, count: int, big: bool) -> bytes:
    """One field's bytes: what a ride needs as it is, company by chance."""
    order = ">" if big else "<"
    if field == TIME:
        return struct.pack(order + "I", now)
    if field == COUNT:
        return struct.pack(order + "I", count)
    if field in (NORTH, EAST):
        return struct.pack(order + "i", draw(st.sampled_from([0x7FFFFFFF, 50 * 2**31 // 180])))
    return draw(st.binary(min_size=field[1], max_size=field[1]))


def by_the_other_reader(data: bytes) -> tuple[float | None, list[float], list[float]]:
    """Total of the session, and count and time of each record."""
    total, counts, times = None, [], []
    with fitdecode.FitReader(io.BytesIO(data)) as frames:
        for frame in frames:
            if frame.frame_type != fitdecode.FIT_FRAME_DATA:
                continue
            told: dict[str, Any] = {field.name: field.value for field in frame.fields}
            if frame.name == "session":
                total = told["total_distance"]
            elif frame.name == "record":
                if told.get("distance") is not None:
                    counts.append(told["distance"])
                if told.get("timestamp") is not None:
                    times.append(told["timestamp"].timestamp())
    return total, counts, times


@given(recordings())
def test_any_file_of_the_protocol_is_as_long_as_the_other_reader_says(made: tuple[bytes, bool]) -> None:
    """The session's total to a centimetre; without one, the last count, and the time from the first to the last record."""
    data, closes = made
    total, counts, times = by_the_other_reader(data)
    assert (total is not None) is closes
    try:
        (ride,) = read_ride_file("any.fit", data).rides
    except InputRefused:
        assert not closes and not any(counts)
        return
    expected = total if total is not None else (counts[-1] if counts else 0.0)
    assert ride.distance_m == pytest.approx(expected, abs=0.011) or any(
        "can't be" in words for words in ride.damaged
    )
    if not closes:
        assert ride.elapsed_s == times[-1] - times[0]
        assert ride.start is not None and ride.start.timestamp() == times[0]


@given(recordings(), recordings())
def test_files_behind_one_another_are_as_long_as_each_alone(
    one: tuple[bytes, bool], other: tuple[bytes, bool]
) -> None:
    """Two recordings of one time in one file: each is the ride that it is alone, whatever the other one counted."""
    # A recording that begins after the other's end may count on from it: then what was counted before is taken off.
    assume(by_the_other_reader(one[0])[2][-1] >= START + 20)
    alone = [ride for data, _ in (one, other) for ride in _rides(data)]
    assert _rides(one[0] + other[0]) == alone


def _rides(data: bytes) -> list[Any]:
    try:
        return list(read_ride_file("any.fit", data).rides)
    except InputRefused:
        return []
