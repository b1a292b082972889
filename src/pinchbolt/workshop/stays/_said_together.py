"""A chain and a cassette that are both on the estimate: what waiting costs is said once, of both."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from pinchbolt.records.models import Line
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.next_visit import visit_of
from pinchbolt.workshop.wear.waiting import waiting_for_both


def said_together(rows: Sequence[Line]) -> dict[int, tuple[str, ...]]:
    """Return what is said of waiting in place of the line's own words, by line: a chain with the cassette that it wears.

    Each line's own sentence speaks as if the other were not changed. As of the day of the later line, so that the sheet
    says the same tomorrow.
    """
    said: dict[int, tuple[str, ...]] = {}
    for worn in rows:
        if not _may_wait(worn) or worn.finding is None or worn.finding.part is None:
            continue
        kind = kind_row(worn.finding.part.kind)
        wears, renewed = set(kind.wears), _renews(worn)
        other = next((one for one in rows if one is not worn and wears & _renews(one)), None)
        if other is None or kind.id not in renewed or wears & renewed:
            continue
        names = worded(" and ").join(kind.wears)
        if not _may_wait(other):
            said[worn.pk] = (
                worded(
                    "Allowed to wait: yes, but the {names} is changed now, and an old {id} wears a new "
                    "{names}: change both.",
                    names=names,
                    id=kind.id,
                ),
            )
            continue
        day = max(local_day(worn.event.at), local_day(other.event.at))
        bike, prices = worn.job.bike, (_price(worn, day), _price(other, day))
        both = waiting_for_both(worn.finding, *prices, bike, day, visit_of(bike))
        if both is not None:
            said[worn.pk] = both
            said[other.pk] = (worded("Said of both at “{words}”.", words=worn.words),)
    return said


def _may_wait(row: Line) -> bool:
    return Verdict(row.verdict).rank < Verdict.BEFORE_IT_LEAVES.rank


def _renews(row: Line) -> set[str]:
    """The kinds of part that a line renews."""
    proposals = tables().proposals.values()
    return {kind for one in proposals if one.operation == row.operation for kind in one.replaces}


def _price(row: Line, day: date) -> Decimal:
    """The line's parts and its labour by the usual minutes."""
    operation = tables().operations.get(row.operation)
    minutes = operation.minutes[1] if operation is not None else 0
    parts = sum((Decimal(part["each"]) * int(part["count"]) for part in row.parts), Decimal(0))
    return parts + labour_on_day(day) * minutes / 60
