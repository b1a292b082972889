"""Stocktake: a bin counted, the bins in the order of the shelves, and when each was counted last."""

from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinMove, BinPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.bikes.bin_moves import COUNTED, BinMoveView, move_bin, moves_of
from pinchbolt.workshop.common.checks import local_day, number
from pinchbolt.workshop.parts.sold_by import bin_by_number, bins_scanned
from pinchbolt.workshop.parts.take_in_parts import BinView, bin_views

_MOST = 2000


@dataclass(frozen=True, slots=True)
class ShelfView:
    """A bin on the shelf: what lies in it by the book, and the day it was counted last (None: never)."""

    part: BinView
    counted: date | None


@dataclass(frozen=True, slots=True)
class CountRequest:
    """How many lie in the bin of a number, counted just now."""

    number: str
    found: int


@dataclass(frozen=True, slots=True)
class Counted:
    """What a count came to: what the book said before, and the difference in words."""

    number: str
    before: int
    found: int
    words: str


def count_bin(request: CountRequest, *, by: int, key: str, now: datetime) -> Counted:
    """Count a bin, named by number or by its bar code: the difference to the book is a move.

    Raises:
        NotFound: No such number.
        InputRefused: A count out of sense, or a bar code that was misread or is of several parts.
    """
    with act("bin counted", by=by, key=key, now=now, request=request) as this:
        row = _one_scanned(request.number)
        found = int(number(request.found, "found", worded("The count"), 0, 100_000, "pieces"))
        if row.used_part_id is not None and found > 1:
            sentence = worded("{number} is one used part: 0 or 1 lie there.", number=row.number)
            raise InputRefused(sentence, {"found": sentence})
        before = row.count if not this.repeated else int(this.done_before.said["before"])
        if not this.repeated:
            this.said = {"number": row.number, "before": before, "found": found}
            move_bin(this.write(), row, found - before, COUNTED)
        less = before - found
        words = worded("as the book says") if not less else f"{abs(less)} {'missing' if less > 0 else 'more'}"
        return Counted(
            row.number,
            before,
            found,
            worded("counted {found}, book says {before}: {words}", found=found, before=before, words=words),
        )


def bin_moves(number: str) -> tuple[BinMoveView, ...]:
    """Return the moves of a number, newest first.

    Raises:
        NotFound: No such number.
    """
    return moves_of(bin_by_number(number))


def _one_scanned(told: str) -> BinPart:
    found = bins_scanned(told)
    if len(found) > 1:
        names = ", ".join(f"{one.number} ({one.words})" for one in found[:5])
        sentence = worded(
            "{told} is the code of {names}. Type the number of the one that you count.",
            told=told,
            names=names,
        )
        raise InputRefused(sentence, {"number": sentence})
    return found[0]


def shelves(now: datetime, *, of_bin: str = "") -> tuple[ShelfView, ...]:
    """Return what is to be counted: what the book was short of first, then what was counted longest ago, by bins."""
    rows = BinPart.objects.filter(used_part__isnull=True).exclude(bin="").order_by("bin", "words", "number")
    if of_bin:
        rows = rows.filter(bin=of_bin)
    views = bin_views(rows[:_MOST])
    moves = BinMove.objects.filter(
        part__number__in=[one.number for one in views], why=COUNTED, event__corrected_by__isnull=True
    )
    newest = dict(moves.order_by("pk").values_list("part__number", "event__at"))
    found = [
        ShelfView(one, local_day(at) if (at := newest.get(one.number)) is not None else None) for one in views
    ]
    never = date.min
    return tuple(
        sorted(found, key=lambda one: (not one.part.wants_counting, one.counted or never, one.part.bin))
    )
