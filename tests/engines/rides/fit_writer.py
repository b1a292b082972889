"""Writes FIT files as a device would, plainly: definitions, messages, checksum. Used where a real file can't be had."""

import struct
from collections.abc import Iterable, Sequence
from functools import cache

EPOCH = 631065600
ENUM, U8, U16, S32, U32, TEXT = 0x00, 0x02, 0x84, 0x85, 0x86, 0x07
_LETTER = {ENUM: "B", U8: "B", U16: "H", S32: "i", U32: "I"}
FILE_ID = ((0, 1, ENUM), (1, 2, U16), (2, 2, U16), (3, 4, 0x8C), (4, 4, U32))
RECORD = ((253, 4, U32), (0, 4, S32), (1, 4, S32), (2, 2, U16), (5, 4, U32))
SESSION = (
    (253, 4, U32),
    (2, 4, U32),
    (7, 4, U32),
    (8, 4, U32),
    (9, 4, U32),
    (5, 1, ENUM),
    (6, 1, ENUM),
    (22, 2, U16),
)
_LETTER[0x8C] = "I"

Field = tuple[int, int, int]


def plain_checksum(data: bytes) -> int:
    """The FIT checksum bit by bit, as the protocol describes it; what the eight bits of a byte come to is worked out once."""
    crc = 0
    for byte in data:
        crc = crc >> 8 ^ _eight_bits((crc ^ byte) & 0xFF)
    return crc


@cache
def _eight_bits(crc: int) -> int:
    for _ in range(8):
        crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return crc


def definition(
    local: int, message: int, fields: Sequence[Field], *, big: bool = False, own: int = 0
) -> bytes:
    """One definition message; *own* adds a developer's field of so many bytes."""
    head = bytes((0x40 | local | (0x20 if own else 0), 0, int(big)))
    body = struct.pack((">" if big else "<") + "HB", message, len(fields)) + b"".join(
        bytes(one) for one in fields
    )
    return head + body + (bytes((1, 0, own, 0)) if own else b"")


def values(
    local: int, fields: Sequence[Field], row: Sequence[int], *, big: bool = False, own: int = 0
) -> bytes:
    """One data message under a plain header."""
    letters = "".join(_LETTER[base] for _, _, base in fields)
    return bytes((local,)) + struct.pack((">" if big else "<") + letters, *row) + b"\x07" * own


def fit_file(messages: Iterable[bytes], *, header: int = 14, told: int | None = None) -> bytes:
    """A whole file round its messages."""
    body = b"".join(messages)
    head = struct.pack("<BBHI", header, 0x20, 2140, len(body) if told is None else told) + b".FIT"
    if header == 14:
        head += struct.pack("<H", plain_checksum(head))
    return head + body + struct.pack("<H", plain_checksum(head + body))


def ride_messages(
    start: int,
    metres_a_second: Sequence[float],
    *,
    serial: int = 77,
    sport: tuple[int, int] = (2, 0),
    with_session: bool = True,
    big: bool = False,
    own: int = 0,
) -> list[bytes]:
    """A ride of one record a second from *start* (seconds since 1970), eastwards on the 50th degree."""
    began = start - EPOCH
    found = [
        definition(0, 0, FILE_ID, big=big),
        values(0, FILE_ID, (4, 255, 1, serial, began), big=big),
        definition(1, 20, RECORD, big=big, own=own),
    ]
    metres = 0.0
    for second, speed in enumerate(metres_a_second):
        metres += speed
        east = int((8.0 + metres / 71_695.8) * 2**31 / 180)
        altitude = int((100 + 500) * 5 + second % 3)
        row = (began + second, int(50.0 * 2**31 / 180), east, altitude, round(metres * 100))
        found.append(values(1, RECORD, row, big=big, own=own))
    if with_session:
        last = (len(metres_a_second) - 1) * 1000
        row = (began + len(metres_a_second) - 1, began, last, last, round(metres * 100), *sport, 12)
        found += [definition(2, 18, SESSION, big=big), values(2, SESSION, row, big=big)]
    return found
