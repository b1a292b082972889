"""What a line's work takes on its own bike."""

from pinchbolt.engines.build import minutes_once, operation_on
from pinchbolt.records.models import Line
from pinchbolt.reference.rows.work import Operation
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.trade_tables import tables


@once_a_look
def operation_here(line: Line) -> Operation | None:
    """Return the operation of a line as it is on its bike; None for a line of words alone."""
    row = tables().operations.get(line.operation)
    return None if row is None else operation_on(build_of(line.job.bike), row, place_of_line(line))


def once_here(line: Line) -> tuple[int, int, int]:
    """Return the minutes of a line that are done once however often it is done there (low, usual, high)."""
    row = tables().operations.get(line.operation)
    if row is None or (line.count or 1) == 1:
        return 0, 0, 0
    return minutes_once(build_of(line.job.bike), row, place_of_line(line))
