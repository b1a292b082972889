"""Does a line put its finding right? Only work that the finding asks for does; a look, or other work, mends nothing."""

from pinchbolt.records.models import Line
from pinchbolt.workshop.common.trade_tables import tables


def puts_right(line: Line) -> bool:
    """Return whether a done line answers its finding: what was found by eye always, a reading only by work of its own rows.

    A cracked crank is not mended by a torque wrench: where the work is another, the finding stands until it is read
    again or the part is gone.
    """
    if line.finding is None:
        return False
    limit = line.finding.limit
    return not limit or any(
        row.operation == line.operation and row.mends
        for row in tables().proposals.values()
        if limit in row.limits
    )
