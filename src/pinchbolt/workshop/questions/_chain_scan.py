"""Chains of a file as numbers, letter by letter: loops that are compiled for files of many chains.

`wear_bulk` reads line by line and says of each what is wrong with it. That costs thirty microseconds a chain, more than its
forecast. A line that is written plainly is read here in one; of any other nothing is said but that it is not plain: repeated
names, escaped letters, powers of ten, more digits than a float surely keeps, anything nested that is not known. What is allowed
is not decided here (`_chain_columns`, `wear_bulk`).
"""

from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]
Numbers = NDArray[np.float64]
Letters = NDArray[np.uint8]

CHAIN_NAMES = (
    "id", "workshop", "use", "limit", "readings", "closed_km", "passed_after_km", "closed_how", "drive", "fitted",
)  # fmt: skip
READING_NAMES = ("km", "days", "instrument", "value", "low", "high")
ID, SHOP, USE, LIMIT, READINGS, CLOSED, AFTER, HOW, DRIVE, FITTED = range(len(CHAIN_NAMES))
INSTRUMENT = READING_NAMES.index("instrument")
NEEDED = 1 << ID | 1 << SHOP | 1 << USE | 1 << LIMIT | 1 << READINGS
# Groups of words: names of a chain and of a reading, then what words may stand for a use, a closing, a drive, a fitting, an instrument.
OF_CHAIN, OF_READING, USES, HOWS, DRIVES, FITTINGS, INSTRUMENTS = range(7)
NOT_PLAIN = -1
WHOLE_DIGITS, FLOAT_DIGITS = 18, 15  # of a whole number; of one that a float keeps whatever its point
POWERS = 10.0 ** np.arange(FLOAT_DIGITS + 1)
QUOTE, COMMA, COLON, POINT, MINUS, NOUGHT, NINE = 34, 44, 58, 46, 45, 48, 57
OPEN, CLOSE, OPEN_LIST, CLOSE_LIST, BACKSLASH = 123, 125, 91, 93, 92
NULL = np.frombuffer(b"null", np.uint8)


def words_of(groups: tuple[tuple[str, ...], ...]) -> tuple[Letters, Whole, Whole]:
    """All words as letters, one a row; how long each is; where each group begins and the last one ends."""
    words = [word.encode() for group in groups for word in group]
    letters = np.zeros((len(words), max(map(len, words))), np.uint8)
    for row, word in zip(letters, words, strict=True):
        row[: len(word)] = np.frombuffer(word, np.uint8)
    return letters, np.array(list(map(len, words))), np.cumsum([0, *map(len, groups)])


def scan(
    text: Letters, begins: Whole, ends: Whole, letters: Letters, lengths: Whole, groups: Whole,
    marks: Whole, chains: Numbers, held: Whole, readings: Numbers,
) -> int:  # fmt: skip
    """Read the lines from *begins* to *ends*. Returns how many readings there are.

    Fills, a line: *marks*, id and workshop as (whole number, -1) or (first letter, end); *chains*, by name, numbers and the places
    of words in their group (nan: null, or left out); *held*, how many readings it has (NOT_PLAIN: nothing of it is told); and *readings*
    the same, by name, one after the other.
    """
    filled = 0
    for i in range(len(begins)):
        held[i] = _line(
            text, begins[i], ends[i], letters, lengths, groups, marks[i], chains[i], readings, filled
        )
        filled += max(held[i], 0)
    return filled


def _line(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole,
    mark: Whole, chain: Numbers, readings: Numbers, filled: int,
) -> int:  # fmt: skip
    """One line; how many readings it has."""
    chain[:] = np.nan
    at, seen, name, count = _on(text, at, end), 0, -1, NOT_PLAIN
    if at >= end or text[at] != OPEN:
        return NOT_PLAIN
    while True:
        name, seen, at = _named(text, at + 1, end, letters, lengths, groups, OF_CHAIN, name, seen)
        if name == READINGS:
            count, at = _readings(text, at, end, letters, lengths, groups, readings, filled)
        else:
            at = _of_chain(text, at, end, letters, lengths, groups, name, mark, chain)
        if at < 0:
            return NOT_PLAIN
        at = _on(text, at, end)
        if at >= end or text[at] != COMMA:
            break
    if at >= end or text[at] != CLOSE or _on(text, at + 1, end) < end:
        return NOT_PLAIN
    bare = seen & NEEDED != NEEDED or np.isnan(chain[USE]) or np.isnan(chain[LIMIT])
    return NOT_PLAIN if bare else count


def _of_chain(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole, name: int, mark: Whole, chain: Numbers
) -> int:  # fmt: skip
    """The value behind one of a chain's names, but for its readings; where it ends."""
    if at < 0:
        return NOT_PLAIN
    if name < 0:
        return _left_alone(text, at, end)
    if name <= SHOP:
        return _mark(text, at, end, mark, 2 * name)
    if name == USE or name >= HOW:
        group = USES if name == USE else name - HOW + HOWS
        chain[name], at = _word(text, at, end, letters, lengths, groups, group)
    else:
        chain[name], at = _number(text, at, end)
    return at


def _readings(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole, readings: Numbers, filled: int
) -> tuple[int, int]:  # fmt: skip
    """A list of readings, put down from *filled* on: how many there are, and where it ends (NOT_PLAIN: it is not plain)."""
    if at < 0 or at >= end or text[at] != OPEN_LIST:
        return 0, NOT_PLAIN
    at, count = _on(text, at + 1, end), 0
    if at < end and text[at] == CLOSE_LIST:
        return 0, at + 1
    while True:
        at = _one(text, _on(text, at, end), end, letters, lengths, groups, readings[filled + count])
        if at < 0:
            return 0, NOT_PLAIN
        count += 1
        at = _on(text, at, end)
        if at >= end or text[at] != COMMA:
            break
        at += 1
    return (count, at + 1) if at < end and text[at] == CLOSE_LIST else (0, NOT_PLAIN)


def _one(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole, reading: Numbers
) -> int:
    """One reading; where it ends."""
    reading[:] = np.nan
    name, seen = -1, 0
    if at >= end or text[at] != OPEN:
        return NOT_PLAIN
    while True:
        name, seen, at = _named(text, at + 1, end, letters, lengths, groups, OF_READING, name, seen)
        if at < 0:
            return NOT_PLAIN
        if name == INSTRUMENT:
            reading[name], at = _word(text, at, end, letters, lengths, groups, INSTRUMENTS)
        elif name >= 0:
            reading[name], at = _number(text, at, end)
        else:
            at = _left_alone(text, at, end)
        at = _on(text, at, end) if at >= 0 else end
        if at >= end or text[at] != COMMA:
            break
    good = at < end and text[at] == CLOSE and not np.isnan(reading[INSTRUMENT])
    return at + 1 if good else NOT_PLAIN


def _on(text: Letters, at: int, end: int) -> int:
    """Past what is blank."""
    while at < end and (text[at] == 32 or text[at] == 9 or text[at] == 13):
        at += 1
    return at


def _named(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole, group: int, before: int, seen: int
) -> tuple[int, int, int]:  # fmt: skip
    """A name and its colon: its place in the group (-1: not one of it), all names so far as bits, and where its value begins."""
    begin, stop = _quoted(text, _on(text, at, end), end)
    if stop < 0:
        return -1, seen, NOT_PLAIN
    name = _found(text, begin, stop, letters, lengths, groups, group, before + 1)
    at = _on(text, stop + 1, end)
    if at >= end or text[at] != COLON or (name >= 0 and seen >> name & 1):
        return -1, seen, NOT_PLAIN
    return name, seen | (1 << name if name >= 0 else 0), _on(text, at + 1, end)


def _quoted(text: Letters, at: int, end: int) -> tuple[int, int]:
    """Where what stands between quotes begins and ends; no escaped letter is in it."""
    if at >= end or text[at] != QUOTE:
        return 0, NOT_PLAIN
    begin = at + 1
    at = begin
    while at < end and text[at] != QUOTE:
        if text[at] == BACKSLASH or text[at] < 32:
            return 0, NOT_PLAIN
        at += 1
    return (begin, at) if at < end else (0, NOT_PLAIN)


def _found(
    text: Letters,
    begin: int,
    stop: int,
    letters: Letters,
    lengths: Whole,
    groups: Whole,
    group: int,
    guess: int,
) -> int:
    """The place of a word in its group, -1 where it is none of it; *guess* is tried first: names mostly come in turn."""
    first, count = groups[group], groups[group + 1] - groups[group]
    for tried in range(count):
        k = (guess + tried) % count
        if lengths[first + k] == stop - begin:
            same = True
            for m in range(stop - begin):
                if letters[first + k, m] != text[begin + m]:
                    same = False
                    break
            if same:
                return int(k)
    return -1


def _null(text: Letters, at: int, end: int) -> bool:
    if at + 4 > end:
        return False
    return bool(
        text[at] == NULL[0]
        and text[at + 1] == NULL[1]
        and text[at + 2] == NULL[2]
        and text[at + 3] == NULL[3]
    )


def _word(
    text: Letters, at: int, end: int, letters: Letters, lengths: Whole, groups: Whole, group: int
) -> tuple[float, int]:
    """The place of a word in its group, or null."""
    if _null(text, at, end):
        return np.nan, at + 4
    begin, stop = _quoted(text, at, end)
    if stop < 0:
        return np.nan, NOT_PLAIN
    found = _found(text, begin, stop, letters, lengths, groups, group, 0)
    return (float(found), stop + 1) if found >= 0 else (np.nan, NOT_PLAIN)


def _number(text: Letters, at: int, end: int) -> tuple[float, int]:
    """A number, or null: of so few digits that their whole number and the power of ten below it are both exact."""
    if _null(text, at, end):
        return np.nan, at + 4
    below = at < end and text[at] == MINUS
    if below:
        at += 1
    begin, whole, digits, after = at, 0, 0, 0
    while at < end and NOUGHT <= text[at] <= NINE and digits <= FLOAT_DIGITS:
        whole = 10 * whole + int(text[at]) - NOUGHT
        digits += 1
        at += 1
    if digits == 0 or (text[begin] == NOUGHT and digits > 1):
        return np.nan, NOT_PLAIN
    if at < end and text[at] == POINT:
        at += 1
        while at < end and NOUGHT <= text[at] <= NINE and digits <= FLOAT_DIGITS:
            whole = 10 * whole + int(text[at]) - NOUGHT
            digits += 1
            after += 1
            at += 1
        if after == 0:
            return np.nan, NOT_PLAIN
    if digits > FLOAT_DIGITS or not _ends(text, at, end):
        return np.nan, NOT_PLAIN
    value = float(whole) / POWERS[after]
    return (-value if below else value), at


def _ends(text: Letters, at: int, end: int) -> bool:
    """What may stand behind a value."""
    return at < end and (
        text[at] == COMMA or text[at] == CLOSE or text[at] == CLOSE_LIST or _on(text, at, at + 1) > at
    )


def _mark(text: Letters, at: int, end: int, mark: Whole, to: int) -> int:
    """An id or a workshop: a whole number, or a name that is not empty."""
    begin, stop = _quoted(text, at, end)
    if stop >= 0:
        mark[to], mark[to + 1] = begin, stop
        return stop + 1 if stop > begin else NOT_PLAIN
    begin, whole = at, 0
    while at < end and NOUGHT <= text[at] <= NINE and at - begin <= WHOLE_DIGITS:
        whole = 10 * whole + int(text[at]) - NOUGHT
        at += 1
    digits = at - begin
    if (
        digits == 0
        or digits > WHOLE_DIGITS
        or (text[begin] == NOUGHT and digits > 1)
        or not _ends(text, at, end)
    ):
        return NOT_PLAIN
    mark[to], mark[to + 1] = whole, NOT_PLAIN
    return at


def _left_alone(text: Letters, at: int, end: int) -> int:
    """Past the value of a name that is not known: a text, a number or null."""
    _, stop = _quoted(text, at, end)
    return stop + 1 if stop >= 0 else _number(text, at, end)[1]


@cache
def quick_scan() -> Callable[..., int] | None:
    """`scan`, compiled; None without numba: letter by letter it is slower than line by line."""
    try:
        from numba import njit  # noqa: PLC0415
        from numba.extending import register_jitable  # noqa: PLC0415
    except ModuleNotFoundError:
        return None
    for one in (
        _on,
        _quoted,
        _found,
        _null,
        _ends,
        _word,
        _number,
        _named,
        _mark,
        _left_alone,
        _one,
        _of_chain,
        _readings,
        _line,
    ):
        # Put in the place of their calls, and without counting who still needs an array: that is half of the time. They only fill
        # what they are given, and so does who calls them.
        register_jitable(error_model="numpy", forceinline=True, _nrt=False)(one)
    form: Callable[..., int] = njit(nogil=True, cache=True, error_model="numpy")(scan)
    return form
