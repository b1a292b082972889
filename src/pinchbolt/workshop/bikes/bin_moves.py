"""Bins as moves: parts into a bin and out of it, each with why; a bin's count is their sum."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Sum

from pinchbolt.records.models import BinMove, BinPart, Event, Line

USED, COUNTED, CAME, BACK, OUT = "used by a line", "counted", "in", "back from a bike", "out to a bike"


@dataclass(frozen=True, slots=True)
class BinMoveView:
    """A move of a bin: how many, why, by whom and when ("" and None: before moves were written down)."""

    count: int
    why: str
    by: str
    at: datetime | None


def move_bin(event: Event, part: BinPart, count: int, why: str, line: Line | None = None) -> None:
    """Write a move beside the event of an act, and keep the sum; nothing where nothing moves."""
    if not count:
        return
    BinMove.objects.create(part=part, event=event, count=count, why=why, line=line)
    BinPart.objects.filter(pk=part.pk).update(count=F("count") + count)
    part.refresh_from_db(fields=["count"])


def take_back_moves(event: Event) -> None:
    """Let the moves of an act that is taken back count no longer: its event was undone already."""
    for move in BinMove.objects.filter(event=event):
        BinPart.objects.filter(pk=move.part_id).update(count=F("count") - move.count)


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
