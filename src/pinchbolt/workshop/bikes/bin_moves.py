"""Bins as moves: parts into a bin and out of it, each with why; a bin's count is their sum."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Sum

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import BinMove, BinPart, Event, Line
from pinchbolt.values.wording import as_kept, worded

USED, COUNTED, CAME, BACK, OUT = "used by a line", "counted", "in", "back from a bike", "out to a bike"
# What was in the hand and not in the book: the bin wants counting.
MORE = as_kept("more than the book had")


@dataclass(frozen=True, slots=True)
class BinMoveView:
    """A move of a bin: how many, why, by whom and when ("" and None: before moves were written down)."""

    count: int
    why: str
    by: str
    at: datetime | None


def move_bin(event: Event, part: BinPart, count: int, why: str, line: Line | None = None) -> None:
    """Write a move beside the event of an act, and keep the sum; nothing where nothing moves, but that it was counted.

    A bin never holds less than nothing: what goes out beyond the book was there, so it is put into the book first.
    """
    if not count and why != COUNTED:
        return
    part.refresh_from_db(fields=["count"])
    lacking = -(part.count + count)
    if lacking > 0:
        BinMove.objects.create(part=part, event=event, count=lacking, why=MORE, line=line)
        BinPart.objects.filter(pk=part.pk).update(count=F("count") + lacking)
    BinMove.objects.create(part=part, event=event, count=count, why=why, line=line)
    BinPart.objects.filter(pk=part.pk).update(count=F("count") + count)
    part.refresh_from_db(fields=["count"])


def take_back_moves(event: Event) -> None:
    """Let the moves of an act that is taken back count no longer: its event was undone already.

    Raises:
        NotPossibleNow: What it brought was used since.
    """
    sums = BinMove.objects.filter(event=event).order_by().values("part").annotate(sum=Sum("count"))
    for part, moved in sums.values_list("part", "sum"):
        row = BinPart.objects.get(pk=part)
        if moved > 0 and row.count < moved:
            raise NotPossibleNow(
                worded(
                    "{words}: {moved} came with it and {count} lie there, the others were used since. "
                    "Count the bin instead.",
                    words=row.words,
                    moved=moved,
                    count=max(row.count, 0),
                )
            )
        BinPart.objects.filter(pk=part).update(count=F("count") - moved)


def wants_counting(parts: Iterable[int]) -> frozenset[int]:
    """Return those bins that held more than the book had, and were not counted since."""
    rows = BinMove.objects.filter(part__in=parts, why__in=(MORE, COUNTED), event__corrected_by__isnull=True)
    newest = dict(rows.order_by("pk").values_list("part", "why"))
    return frozenset(part for part, why in newest.items() if why == MORE)


def sum_of_moves(part: BinPart) -> int:
    """Return the sum of the moves that stand."""
    return part.moves.filter(event__corrected_by__isnull=True).aggregate(sum=Sum("count"))["sum"] or 0


def moves_of(part: BinPart, most: int = 50) -> tuple[BinMoveView, ...]:
    """Return the moves of a bin that stand, newest first."""
    rows = part.moves.filter(event__corrected_by__isnull=True).select_related("event__by").order_by("-pk")
    return tuple(
        BinMoveView(
            one.count, one.why, one.event.by.name if one.event else "", one.event.at if one.event else None
        )
        for one in rows[:most]
    )
