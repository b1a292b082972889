"""What work takes on this bike: the menu is for any bike, and hoses, a motor or a case make some of it longer."""

from dataclasses import replace

from pinchbolt.engines.build._truth import all_hold
from pinchbolt.engines.build.build_types import Build, end_of
from pinchbolt.reference.rows.work import ExtraMinutes, Operation


def operation_on(build: Build, operation: Operation, place: str = "") -> Operation:
    """Return an operation as it is on this bike: its minutes with what makes it longer here, and blocks that come besides.

    What nobody knows of the bike adds nothing. A block that comes besides stands first among the steps, the reason for
    further minutes under what it needs.

    Args:
        build: The bike. [-]
        operation: Row of the menu. [-]
        place: Where the work is done: front, rear ...; "" where nobody says. [-]

    Returns:
        The row with minutes (low, usual, high), blocks, steps and needs of this bike. [min]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    end = end_of(place)
    shared = set(operation.blocks_at(end))
    beside = [
        block
        for block in build.tables.blocks.values()
        if block.id not in shared
        and not shared.isdisjoint(block.beside)
        and all_hold(build, block.when).answer
    ]
    longer = _longer(build, operation, end)
    if not beside and not longer:
        return operation
    block_minutes = sum(block.minutes for block in beside)
    low, usual, high = (
        at_menu + block_minutes + sum(row.minutes[n] for row in longer)
        for n, at_menu in enumerate(operation.minutes)
    )
    return replace(
        operation,
        minutes=(low, usual, high),
        shares=(*operation.shares, *(block.id for block in beside)),
        steps=(*(block.words for block in beside), *operation.steps),
        needs=(*operation.needs, *(row.words for row in longer)),
    )


def minutes_once(build: Build, operation: Operation, place: str = "") -> tuple[int, int, int]:
    """Return the minutes (low, usual, high) that come besides on this bike, once however often the work is done there.

    The sprockets come off once for three spokes, and the tape once for two cables: `operation_on` holds them.

    Args:
        build: The bike. [-]
        operation: Row of the menu. [-]
        place: Where the work is done: front, rear ...; "" where nobody says. [-]

    Returns:
        Low, usual and high; 0 where nothing makes the work longer. [min]

    Source: The rows of the tables and the build sheet; that it is done once: common practice, no source.
    """
    rows = _longer(build, operation, end_of(place))
    low, usual, high = (sum(row.minutes[n] for row in rows) for n in range(3))
    return low, usual, high


def _longer(build: Build, operation: Operation, end: str) -> list[ExtraMinutes]:
    return [
        row
        for row in build.tables.extras.values()
        if operation.id in row.operations
        and (not row.end or row.end == end)
        and all_hold(build, row.when, side=end).answer
    ]
