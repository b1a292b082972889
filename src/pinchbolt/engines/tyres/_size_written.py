"""Tyre sizes as people write them: 700x28C, 26 x 1-3/8, 26x1.75. What decides is the form of the width."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pinchbolt.engines.tyres._tyre_sense import cell

MM_PER_INCH = 25.4
_APART = r"\s*[x\u00d7*]\s*"
_FRENCH = re.compile(rf"^(\d{{3}})\s*([a-d]?){_APART}(\d{{2}}(?:\.\d)?)\s*([a-d]?)$")
_INCH = re.compile(
    rf"^(\d{{1,2}}(?:[.,]\d)?)\s*(?:in|\"|\u2033)?{_APART}(\d(?:[-\s]\d/\d{{1,2}}|[.,]\d{{1,3}})?|\d/\d)\s*(?:in|\"|\u2033)?$"
)
_NAME = re.compile(r"(\d+(?:\.\d+)?)(?:\s*x\s*([\d./-]+))?\s*([a-d]?)")


@dataclass(frozen=True, slots=True)
class SizeWritten:
    """Width, and every bead seat that is sold under what was written. [mm]"""

    width: float
    bead_seats: tuple[float, ...]


def size_written(text: str, bead_seats: Sequence[object]) -> SizeWritten | None:
    """Return the size of a tyre as it is written in the trade, or None where it is not written with a width.

    Args:
        text: 700x28C, 650 x 47B, 26 x 1-3/8, 26x1.75, 29x2.2. [-]
        bead_seats: Rows of `bead_seat`: `mm` and `names`. [mm]

    Returns:
        Width and seats; a fraction and a decimal of the same size mean different seats. [mm]

    Valid for: Names in the table. Only the marking in mm decides.

    Example:
        >>> rows = [{"mm": 559, "names": ["26 in", "26 x 1.75 in"]}, {"mm": 590, "names": ["26 x 1-3/8 in, 650A"]}]
        >>> size_written("26 x 1-3/8", rows).bead_seats, size_written("26x1.75", rows).bead_seats
        ((590.0,), (559.0,))

    Source: ISO 5775-1 for the seats; the names are those of the trade.
    """
    plain = " ".join(text.lower().replace(",", ".").split())
    if french := _FRENCH.match(plain):
        letter = french[2] or french[4]
        wanted = french[1] + letter
        seats = [seat for seat, size, _, named in _named(bead_seats) if size + named == wanted]
        if not letter:
            # Without its letter a 700 is a 700C, as every rider says it.
            seats = [
                seat for seat, size, _, named in _named(bead_seats) if size == french[1] and named == "c"
            ]
        return SizeWritten(float(french[3]), tuple(sorted(set(seats))))
    if inch := _INCH.match(plain):
        width = _inches(inch[2]) * MM_PER_INCH
        if "/" in inch[2]:
            said = inch[2].replace(" ", "-")
            seats = [
                seat for seat, size, across, _ in _named(bead_seats) if (size, across) == (inch[1], said)
            ]
        else:
            # A decimal is the size of today's bikes, named by its 1.75; an old one of just that width stays possible.
            usual = {f"{float(inch[2]):g}", "1.75"}
            seats = [
                seat for seat, size, across, _ in _named(bead_seats) if size == inch[1] and across in usual
            ] or [
                seat
                for seat, size, across, letter in _named(bead_seats)
                if size == inch[1] and not across + letter
            ]
        return SizeWritten(round(width, 1), tuple(sorted(set(seats))))
    return None


def _named(rows: Sequence[object]) -> Iterator[tuple[float, str, str, str]]:
    """Every name of every seat, apart: seat, size, width across, letter."""
    for row in rows:
        names = cell(row, "names")
        for told in names if isinstance(names, list | tuple) else ():
            for name in str(told).lower().split(","):
                found = _NAME.match(name.strip())
                if found:
                    yield float(str(cell(row, "mm"))), found[1], found[2] or "", found[3]


def _inches(text: str) -> float:
    whole, _, part = text.replace(" ", "-").partition("-")
    if "/" in whole:
        whole, part = "0", whole
    top, _, bottom = part.partition("/")
    return float(whole) + (float(top) / float(bottom) if part else 0.0)
