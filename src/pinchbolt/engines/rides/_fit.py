"""FIT: from bytes to columns of the few messages that a ride needs; whatever breaks, what came before it is kept.

A FIT file is a header, messages, and a checksum; several may follow one another. A definition message says how the data
messages of its number lie in bytes. Definitions are compiled once; runs of records of one definition are read as one
array. Structure, base types and invalid values: FIT protocol, as public parsers read it (held against one by a test).
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.rides._checksum import fit_checksum
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]
Column = Floats | list[str]

FILE_ID, SPORT, SESSION, LAP, RECORD, DEVICE, ACTIVITY = 0, 12, 18, 19, 20, 23, 34
TIMESTAMP = 253
EPOCH = 631065600.0
"""1989-12-31T00:00:00Z, from which FIT counts its seconds, in seconds since 1970."""

_WANTED: dict[int, frozenset[int]] = {
    FILE_ID: frozenset((0, 1, 2, 3, 4, 8)),
    SPORT: frozenset((0, 1, 3)),
    SESSION: frozenset((2, 5, 6, 7, 8, 9, 11, 22, 23, 48, 59, TIMESTAMP)),
    LAP: frozenset((2, 7, 8, 9, 11, 21, 22, 25, 39, 41, TIMESTAMP)),
    RECORD: frozenset((0, 1, 2, 5, 6, 7, 8, 73, 78, TIMESTAMP)),
    DEVICE: frozenset((0, 2, 3, 4, 27)),
    ACTIVITY: frozenset((0, 1, TIMESTAMP)),
}
_COMPRESSED_SPEED_DISTANCE = 8
# Base types by their low five bits: letter of numpy, size, invalid value (None: text).
_BASE: dict[int, tuple[str, int, float | None]] = {
    0: ("u1", 1, 0xFF), 1: ("i1", 1, 0x7F), 2: ("u1", 1, 0xFF), 3: ("i2", 2, 0x7FFF), 4: ("u2", 2, 0xFFFF),
    5: ("i4", 4, 0x7FFFFFFF), 6: ("u4", 4, 0xFFFFFFFF), 7: ("S", 1, None), 8: ("f4", 4, float("nan")),
    9: ("f8", 8, float("nan")), 10: ("u1", 1, 0), 11: ("u2", 2, 0), 12: ("u4", 4, 0), 13: ("u1", 1, 0xFF),
    14: ("i8", 8, 0x7FFFFFFFFFFFFFFF), 15: ("u8", 8, 0xFFFFFFFFFFFFFFFF), 16: ("u8", 8, 0),
}  # fmt: skip
_LONGEST_RUN = 4096
MOST_STEPS = 2_000_000
"""Runs and single messages that are looked at: a file made to fill the memory ends here. Our assumption; a day has 100,000."""


@dataclass(slots=True)
class _Kind:
    """One definition: how a message of it lies, and where such messages are (place of the first, how many)."""

    message: int
    size: int
    dtype: np.dtype[np.void] | None
    invalid: dict[str, float | None]
    clock: tuple[int, bool] | None
    at: list[tuple[int, int]] = field(default_factory=list)
    stamps: dict[int, int] = field(default_factory=dict)

    @property
    def stride(self) -> int:
        """Bytes of a message with its header."""
        return self.size + 1


@dataclass(slots=True)
class FitPart:
    """One FIT file of those chained in a file: columns by message and field, in file order; what broke, in words."""

    messages: dict[int, dict[int, Column]]
    said: list[str]
    checksum_fails: bool = False

    def column(self, message: int, number: int) -> Floats:
        """A field of numbers, NaN where invalid; empty where no such message was read."""
        found = self.messages.get(message, {}).get(number)
        if isinstance(found, np.ndarray):
            return found
        return np.full(self.count(message), np.nan)

    def texts(self, message: int, number: int) -> list[str]:
        """A field of text; empty where there is none."""
        found = self.messages.get(message, {}).get(number)
        return found if isinstance(found, list) else []

    def count(self, message: int) -> int:
        """How many messages of this kind were read."""
        return max((len(column) for column in self.messages.get(message, {}).values()), default=0)


def fit_parts(data: bytes) -> list[FitPart]:
    """Return what each FIT file chained in *data* holds."""
    found: list[FitPart] = []
    start = 0
    while start < len(data):
        if data[start + 8 : start + 12] != b".FIT" or data[start] not in (12, 14):
            more = _next_header(data, start)
            said = worded(
                "{more} bytes from byte {start} are no FIT file",
                more=figure_text((more if more is not None else len(data)) - start),
                start=figure_text(start),
            )
            if found:
                found[-1].said.append(said)
            elif more is None:
                return []
            else:
                found.append(FitPart({}, [said]))
            if more is None:
                break
            start = more
        part, start = _one(data, start)
        found.append(part)
    return found


def _next_header(data: bytes, start: int) -> int | None:
    """Where the next header begins after *start*."""
    at = data.find(b".FIT", start + 9)
    while at != -1:
        if data[at - 8] in (12, 14):
            return at - 8
        at = data.find(b".FIT", at + 1)
    return None


def _one(data: bytes, start: int) -> tuple[FitPart, int]:
    """Read the file whose header is at *start*; returns where it ends."""
    first = start + data[start]
    told = int.from_bytes(data[start + 4 : start + 8], "little")
    said: list[str] = []
    end, fails = first + told, False
    if told == 0 or end > len(data):
        # The recording was not closed, or the file was cut: everything that is there is read.
        end = len(data)
        said.append(
            worded("the recording was not closed: its header tells no length")
            if told == 0
            else worded(
                "cut short: {data} of {told} bytes are there",
                data=figure_text(max(len(data) - first, 0)),
                told=figure_text(told),
            )
        )
        following = end
    elif end + 2 > len(data):
        said.append(worded("cut short: its checksum is missing"))
        following = len(data)
    else:
        following = end + 2
        if fit_checksum(data[start:following]) != 0:
            fails = True
            said.append(worded("its checksum is wrong: some bytes were changed"))
    kinds, broke = _Scan(data, first, end).run()
    if broke:
        said.append(broke[1])
        more = _next_header(data, start + 4)
        following = more if more is not None and more < following else following
    return FitPart(_columns(data, kinds), said, fails), following


class _Scan:
    """Walks over the messages once and notes where those of each definition lie."""

    def __init__(self, data: bytes, start: int, end: int) -> None:
        self.data, self.pos, self.end = data, start, end
        self.flat = np.frombuffer(data, dtype=np.uint8)
        self.known: dict[bytes, _Kind] = {}
        self.local: list[_Kind | None] = [None] * 16
        # Where the last time stood: its byte, and whether the high byte comes first; or the time itself.
        self.clock: tuple[int, bool] | None = None
        self.time: int | None = None

    def run(self) -> tuple[list[_Kind], tuple[int, str] | None]:
        """All definitions met, and where and how the file broke."""
        data, end, steps = self.data, self.end, 0
        while self.pos < end:
            pos, head = self.pos, data[self.pos]
            steps += 1
            if steps > MOST_STEPS:
                return self._broken(
                    worded(
                        "holds more messages than any ride up to byte {pos}; the rest was not read",
                        pos=figure_text(pos),
                    )
                )
            if head & 0xC0 == 0x40:
                if not self._define(head):
                    return self._broken(
                        worded("breaks off in a definition at byte {pos}", pos=figure_text(pos))
                    )
                continue
            kind = self.local[head >> 5 & 3 if head & 0x80 else head & 15]
            if kind is None:
                return self._broken(
                    worded(
                        "breaks at byte {pos}: a message of a kind that was not defined", pos=figure_text(pos)
                    )
                )
            after = pos + kind.stride
            if after > end:
                return self._broken(worded("breaks off in a message at byte {pos}", pos=figure_text(pos)))
            if head & 0x80:
                self._compressed(kind, head)
            else:
                many = 1
                if after + kind.stride <= end and data[after] == head:
                    many = self._run_length(kind.stride, head)
                if kind.dtype is not None:
                    kind.at.append((pos, many))
                self.pos = pos + many * kind.stride
                if kind.clock is not None:
                    self.clock = (self.pos - kind.size + kind.clock[0], kind.clock[1])
                    self.time = None
        return list(self.known.values()), None

    def _broken(self, words: str) -> tuple[list[_Kind], tuple[int, str]]:
        return list(self.known.values()), (self.pos, words)

    def _run_length(self, stride: int, head: int) -> int:
        """How many messages of one kind stand one after the other from here."""
        possible = (self.end - self.pos) // stride
        many = 2
        while many < possible:
            upto = min(possible, many + _LONGEST_RUN)
            heads = self.flat[self.pos + many * stride : self.pos + (upto - 1) * stride + 1 : stride]
            other = np.flatnonzero(heads != head)
            if other.size:
                return many + int(other[0])
            many = upto
        return many

    def _compressed(self, kind: _Kind, head: int) -> None:
        """A message whose header carries the last five bits of its time, counted on from the last whole time."""
        if self.clock is not None:
            at, big = self.clock
            raw = int.from_bytes(self.data[at : at + 4], "big" if big else "little")
            self.time, self.clock = raw, None
        if self.time is not None:
            self.time += (head & 0x1F) - (self.time & 0x1F) & 0x1F
        if kind.dtype is not None:
            kind.at.append((self.pos, 1))
            if self.time is not None:
                kind.stamps[self.pos] = self.time
        self.pos += kind.stride

    def _define(self, head: int) -> bool:
        """Take a definition in; False where the file ends inside it."""
        data, start = self.data, self.pos + 1
        if start + 5 > self.end:
            return False
        stop = start + 5 + 3 * data[start + 4]
        own = 0
        fields_end = stop
        if head & 0x20:
            if stop >= self.end:
                return False
            own = data[stop]
            stop += 1 + 3 * own
        if stop > self.end:
            return False
        whole = data[start:stop] + bytes((head & 0x20,))
        kind = self.known.get(whole)
        if kind is None:
            developer = sum(data[fields_end + 2 + 3 * one] for one in range(own))
            kind = self.known[whole] = _kind(data[start:fields_end], developer)
        self.local[head & 15] = kind
        self.pos = stop
        return True


def _kind(definition: bytes, developer: int) -> _Kind:
    """Compile one definition: bytes after its header, and the size of the developer's fields behind them."""
    big = definition[1] == 1
    message = int.from_bytes(definition[2:4], "big" if big else "little")
    wanted = _WANTED.get(message, frozenset())
    names: list[str] = []
    formats: list[str] = []
    offsets: list[int] = []
    invalid: dict[str, float | None] = {}
    offset, clock = 1, None
    for at in range(5, len(definition), 3):
        number, size, base = definition[at], definition[at + 1], definition[at + 2]
        letter, least, bad = _BASE.get(base & 0x1F, ("u1", 1, 0xFF))
        if number == TIMESTAMP and size == 4:
            clock = (offset - 1, big)
        if number in wanted and str(number) not in invalid and size:
            if message == RECORD and number == _COMPRESSED_SPEED_DISTANCE:
                if size == 3:
                    names.append(str(number))
                    formats.append("(3,)u1")
                    offsets.append(offset)
                    invalid[str(number)] = None
            elif letter == "S" or size % least == 0:
                names.append(str(number))
                formats.append(f"S{size}" if letter == "S" else f"{'>' if big else '<'}{letter}")
                offsets.append(offset)
                invalid[str(number)] = bad
        offset += size
    size = offset - 1 + developer
    if not names:
        return _Kind(message, size, None, {}, clock)
    described = {"names": names, "formats": formats, "offsets": offsets, "itemsize": size + 1}
    return _Kind(message, size, np.dtype(described), invalid, clock)  # type: ignore[call-overload]


def _columns(data: bytes, kinds: list[_Kind]) -> dict[int, dict[int, Column]]:
    """Columns by message and field, in file order over all definitions of a message."""
    found: dict[int, dict[int, Column]] = {}
    for message in {kind.message for kind in kinds if kind.at}:
        own = [kind for kind in kinds if kind.message == message and kind.at]
        places = [_places(kind) for kind in own]
        order = np.argsort(np.concatenate(places), kind="stable") if len(own) > 1 else None
        rows = [_rows(data, kind) for kind in own]
        columns: dict[int, Column] = {}
        for number in {int(name) for kind in own for name in kind.invalid} | {
            TIMESTAMP for kind in own if kind.stamps
        }:
            pieces = [
                _values(kind, row, place, number) for kind, row, place in zip(own, rows, places, strict=True)
            ]
            columns[number] = _joined(pieces, order)
        found[message] = columns
    return found


def _places(kind: _Kind) -> NDArray[np.int64]:
    return np.concatenate([pos + kind.stride * np.arange(many) for pos, many in kind.at])


def _rows(data: bytes, kind: _Kind) -> NDArray[np.void]:
    if len(kind.at) == 1:
        pos, many = kind.at[0]
        return np.frombuffer(data, dtype=kind.dtype, count=many, offset=pos)
    together = b"".join(data[pos : pos + many * kind.stride] for pos, many in kind.at)
    return np.frombuffer(together, dtype=kind.dtype)


def _values(kind: _Kind, rows: NDArray[np.void], places: NDArray[np.int64], number: int) -> Column:
    """One field of one definition as floats with NaN, or as texts."""
    name = str(number)
    if name not in kind.invalid:
        values = np.full(len(rows), np.nan)
    elif number == _COMPRESSED_SPEED_DISTANCE and kind.message == RECORD:
        return _packed_distance(rows[name])
    else:
        bad = kind.invalid[name]
        raw = rows[name]
        if bad is None:
            return [bytes(one).split(b"\0")[0].decode("utf-8", "replace").strip() for one in raw]
        with np.errstate(invalid="ignore"):
            values = raw.astype(np.float64)
            values[raw == bad] = np.nan
    if number == TIMESTAMP and kind.stamps:
        for row, place in enumerate(places):
            if int(place) in kind.stamps:
                values[row] = kind.stamps[int(place)]
    return values


def _packed_distance(packed: NDArray[np.uint8]) -> Floats:
    """The distance half of a packed speed and distance: 12 bits, sixteenths of a metre; NaN where all bits are set."""
    value = (packed[:, 1] >> 4).astype(np.float64) + packed[:, 2].astype(np.float64) * 16
    value[(packed == 0xFF).all(axis=1)] = np.nan
    return value


def _joined(pieces: list[Column], order: NDArray[np.int64] | None) -> Column:
    texts = [piece for piece in pieces if isinstance(piece, list)]
    if texts:
        flat = [one if isinstance(one, str) else "" for piece in pieces for one in piece]
        return flat if order is None else [flat[at] for at in order]
    joined = np.concatenate([piece for piece in pieces if isinstance(piece, np.ndarray)])
    return joined if order is None else joined[order]
