"""What is known of a place before its marking is read."""

from collections.abc import Sequence

from pinchbolt.engines.markings import MarkingContext
from pinchbolt.engines.tyres import size_written
from pinchbolt.reference.rows.wheels import BeadSeat
from pinchbolt.workshop.common.trade_tables import tables

_MM = 1e-3


def sizes_known() -> MarkingContext:
    """Bead seats of the tables, and the seats that are sold under a size as the trade writes it. [m]"""
    rows = tables().interfaces["bead_seat"]

    def seats(text: str) -> Sequence[float] | None:
        found = size_written(text, rows)
        return None if found is None else tuple(one * _MM for one in found.bead_seats)

    return MarkingContext(
        bead_seats=tuple(float(row.mm) * _MM for row in rows if isinstance(row, BeadSeat)), size_seats=seats
    )
