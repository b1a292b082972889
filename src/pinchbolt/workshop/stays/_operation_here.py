"""What a line's work takes on its own bike."""

from pinchbolt.engines.build import operation_on
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
