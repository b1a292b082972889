"""The records of a file of parts: how it is written, where its columns are named, and no record that swallows others."""

import csv
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

MOST_LINES = 100_000
_DIVIDERS = ",;\t|"
# A cell may go over some lines; one that goes over more has a quote that was never closed.
_MOST_TOGETHER = 40
_LOOKED_FOR = 12
_SEP = re.compile(r"sep=(.)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Layout:
    """The lines of a file, what divides its cells, the columns, and the number of the line below them."""

    lines: tuple[str, ...]
    divider: str
    header: tuple[str, ...]
    first: int


@dataclass(frozen=True, slots=True)
class Record:
    """One record: the lines that it stands on, its cells, and why it cannot be believed (empty: it can)."""

    line: int
    last: int
    cells: tuple[str, ...]
    wrong: str = ""


def layout_of(text: str, is_ours: Callable[[str], bool]) -> Layout:
    """Return how a file is laid out: `sep=` is believed, a title above the columns is passed over.

    The line that names the columns is the one of the first dozen that holds most names of ours (*is_ours*), by whichever
    divider; where none does, the first that has as many cells as the line below it.

    Raises:
        InputRefused: The file is empty or has too many lines, or two of its columns have one name.
    """
    # Only what ends a line in a file ends one here; a form feed or a line separator inside a cell is a letter.
    lines = tuple(re.split(r"\r\n|\n|\r", text.removeprefix("\ufeff").replace("\x00", "")))
    if len(lines) > MOST_LINES:
        raise InputRefused(
            worded(
                "The file has more than {most_lines} lines. Send it in pieces.",
                most_lines=figure_text(MOST_LINES),
            )
        )
    told = next((number for number, line in enumerate(lines) if line.strip()), None)
    if told is None:
        raise InputRefused(
            worded(
                "The file is empty: a first line with the names of the columns is needed. Send another file."
            )
        )
    said = _SEP.fullmatch(lines[told].strip().strip('"'))
    dividers = said[1] if said else _DIVIDERS
    start = told + 1 if said else told
    named = _named(lines, start, dividers, is_ours)
    if named is None:
        raise InputRefused(
            worded(
                "The file is empty: a first line with the names of the columns is needed. Send another file."
            )
        )
    at, divider = named
    header = tuple(name.strip() for name in _cells(lines[at], divider))
    twice = {name for name in header if name and header.count(name) > 1}
    if twice:
        sentence = worded(
            'The column "{twice}" is there twice: each once. Rename one and send the file again.',
            twice=min(twice)[:40],
        )
        raise InputRefused(sentence, {"text": sentence})
    return Layout(lines, divider, header, at + 1)


def _named(
    lines: tuple[str, ...], start: int, dividers: str, is_ours: Callable[[str], bool]
) -> tuple[int, str] | None:
    near = [number for number in range(start, min(start + _LOOKED_FOR, len(lines))) if lines[number].strip()]
    if not near:
        return None
    scored = [
        (sum(is_ours(name.strip()) for name in _cells(lines[number], divider)), -number, -place)
        for number in near
        for place, divider in enumerate(dividers)
    ]
    ours, number, place = max(scored)
    if ours >= 2:
        return -number, dividers[-place]
    counted = {number: max(dividers, key=lines[number].count) for number in near}
    for number, below in pairwise(near):
        cells = len(_cells(lines[number], counted[number]))
        if cells > 1 and cells == len(_cells(lines[below], counted[number])):
            return number, counted[number]
    return near[0], counted[near[0]]


def _cells(line: str, divider: str) -> list[str]:
    return next(csv.reader([line], delimiter=divider), [])


def records_of(layout: Layout) -> Iterator[Record]:
    """Every record below the columns that holds something.

    A record of several lines of which a cell holds the divider is not believed: a stray quote swallows lines like that. It
    is given back with what is wrong, and the lines below its first are read by themselves.
    """
    at = layout.first
    while at < len(layout.lines):
        if not layout.lines[at].strip():
            at += 1
            continue
        cells, used, wrong = _record(layout, at)
        if any(cell.strip() for cell in cells) or wrong:
            yield Record(at + 1, at + used, tuple(cells), wrong)
        at += 1 if wrong else used


def _record(layout: Layout, at: int) -> tuple[list[str], int, str]:
    # From its own place: to count to it from the first line takes the square of their number.
    below = range(at, min(at + _MOST_TOGETHER, len(layout.lines)))
    reader = csv.reader((f"{layout.lines[line]}\n" for line in below), delimiter=layout.divider)
    try:
        cells = next(reader, [])
    except csv.Error as wrong:
        return (
            [],
            1,
            worded("the line cannot be read ({wrong}): write it again in plain letters", wrong=wrong),
        )
    cells = [
        cell.removesuffix("\n") if number == len(cells) - 1 else cell for number, cell in enumerate(cells)
    ]
    used = reader.line_num
    swallowed = used > 1 and any("\n" in cell and layout.divider in cell for cell in cells)
    never_closed = (
        used == min(_MOST_TOGETHER, len(layout.lines) - at) and used > 1 and "\n" in (cells or [""])[-1]
    )
    if swallowed or never_closed:
        ends = worded("the end of what was looked at") if never_closed else worded("line {at}", at=at + used)
        return (
            cells,
            used,
            worded(
                "a quote opened in line {first} goes on to {ends} over other cells (lines {first} to "
                "{last}): take the stray quote away, or close it",
                first=at + 1,
                ends=ends,
                last=at + used,
            ),
        )
    return cells, used, ""
