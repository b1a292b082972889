"""Which joints of a bike are opened by work on it, and so are done to their value before it leaves."""

from collections.abc import Iterator

from pinchbolt.engines.build._queries import JointOn, joints_of
from pinchbolt.engines.build.build_types import Build, end_of
from pinchbolt.reference.rows.work import BlockRow, Operation

# A joint that can hurt and is due again within this time is tried at every safety check; longer terms wait for a service.
_SAFETY_TERM = 6  # months
# Of the rider's shoes, which are not in the workshop.
_NOT_ON_THE_BIKE = "rider"


def joints_opened(build: Build, operation: Operation, place: str = "") -> tuple[JointOn, ...]:
    """Return the joints that an operation opens on a bike: its own, those of its blocks, those of its set.

    Args:
        build: The bike. [-]
        operation: Row of the menu. [-]
        place: Where the work is done: front, rear, front left ...; "" where nobody says, which takes both ends. [-]

    Returns:
        Joints in the order of the table, each name once; also those of which it is not known whether the bike has them. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    at = tuple(_blocks(build, operation, place))
    return tuple(
        one
        for one in joints_of(build)
        if (one.row.id in operation.joints and _is_at(one, place))
        or any(one.row.id in block.joints and _is_at(one, where) for block, where in at)
        or _is_in_set(one, operation)
    )


def _blocks(build: Build, operation: Operation, place: str) -> Iterator[tuple[BlockRow, str]]:
    """The blocks of an operation, each with the end or the place at which it undoes joints."""
    for name in operation.blocks_at(end_of(place)):
        block = build.tables.blocks.get(name)
        if block is not None and name in operation.shares:
            yield block, place if block.at_place else block.end
        elif block is not None:
            # Of a trike's two front wheels the one that is named comes out.
            yield block, place or block.end


def _is_at(one: JointOn, place: str) -> bool:
    """Whether a joint is undone by work at this place; sprockets are behind, though their joint names no end."""
    stands = one.name.partition(":")[2] or one.part.side
    return not place or stands in ("", place) or end_of(stands) == place


def _is_in_set(one: JointOn, operation: Operation) -> bool:
    row = one.row
    if not operation.joints_set or not row.tried_again or row.place == _NOT_ON_THE_BIKE:
        return False
    return operation.joints_set == "all" or (
        row.critical == "A" and row.recheck <= _SAFETY_TERM and not row.makers_figure_only
    )
