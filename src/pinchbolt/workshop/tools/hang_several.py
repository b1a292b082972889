"""A bare board: what a workshop has is ticked on one list and hung at once, one act a tool."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Instrument, Tool
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.check_tool import HungRequest, hang_tool


@dataclass(frozen=True, slots=True)
class SeveralRequest:
    """Tools and instruments of the table that hang here from now on, by their rows."""

    table_ids: tuple[str, ...]


def bare_rows() -> tuple[tuple[str, str], ...]:
    """Return what a bare board may be hung with, id and name: torque tools where none hangs, gauges where none does."""
    known, found = tables(), []
    if not Tool.objects.filter(table_id__in=list(known.torque_tools)).exists():
        found += [(row.id, row.name) for row in known.torque_tools.values()]
    if not Instrument.objects.exists():
        found += [(row.id, row.name) for row in known.instruments.values()]
    return tuple(found)


def hang_several(request: SeveralRequest, *, by: int, key: str, now: datetime) -> None:
    """Hang each of them; a further try with the same mark hangs none twice.

    Raises:
        InputRefused: Nothing was ticked, or the table has no such row.
    """
    known = {*tables().torque_tools, *tables().instruments}
    wrong = next((one for one in request.table_ids if one not in known), None)
    if wrong is not None or not request.table_ids:
        sentence = (
            worded('The table has no tool "{wrong}".', wrong=wrong[:40])
            if wrong
            else worded("Nothing is ticked: tick what you have.")
        )
        raise InputRefused(sentence, {"table_ids": sentence})
    for number, one in enumerate(dict.fromkeys(request.table_ids)):
        hang_tool(HungRequest(one), by=by, key=f"{key}-{number}", now=now)
