"""How wide the safety list of a stay is: what is always looked at, what the work touched, or the whole bike."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from pinchbolt.engines.build._queries import items_for
from pinchbolt.engines.build.build_types import Build, PartOn, end_of
from pinchbolt.reference.rows.work import Operation, SignoffItem, part_wanted


@dataclass(frozen=True, slots=True)
class WorkDone:
    """Work of one line: its operation, the part that it was found on, and the kinds of part that its line brought."""

    operation: Operation
    on: PartOn | None = None
    brought: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class ItemAfter:
    """An item of the list of a stay; `touched`: the work was there, so that it is looked at as closely as the row asks."""

    row: SignoffItem
    touched: bool


def items_after(
    build: Build,
    work: Collection[WorkDone],
    joints: Iterable[str],
    changed: Collection[tuple[str, str]] = (),
    not_met: Collection[str] = (),
) -> tuple[ItemAfter, ...]:
    """Return the items that are looked at after this work, in the order of the list.

    An item of width `always` is; one of `touched` where a joint of its own or of its `opened` was opened, or where a
    kind of its `of` was worked on, at its end where both have one. After work on the whole bike all are. What was looked
    at and not met stays, whatever becomes of the work.

    Args:
        build: The bike. [-]
        work: What was agreed and done. [-]
        joints: Names of the joints on the torque sheet: rotor-6-bolt:front. [-]
        changed: Kinds of part, each with its end, that came, went or moved by hand in this stay. [-]
        not_met: Ids of the items at which somebody looked in this stay and said no. [-]

    Returns:
        Rows of `items_for`, fewer where the work was small. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    kinds = {*changed, *(there for one in work for there in _kinds(build, one))}
    opened = {(name.partition(":")[0], end_of(name.partition(":")[2])) for name in joints}
    whole = any(one.operation.is_of_whole_bike for one in work)

    def touched(row: SignoffItem) -> bool:
        bolts, of = {*row.joints, *row.opened}, set(row.of)
        return any(
            name in names and (not row.end or end in ("", row.end))
            for names, there in ((bolts, opened), (of, kinds))
            for name, end in there
        )

    found = (ItemAfter(row, whole or touched(row) or row.id in not_met) for row in items_for(build))
    return tuple(one for one in found if one.touched or one.row.width == "always")


def _kinds(build: Build, work: WorkDone) -> Iterable[tuple[str, str]]:
    """Kinds of part that the work was on, each with its end: of its part, of what it brings and of what the row names."""
    on = work.on
    end = on.side if on is not None else ""
    if on is not None:
        yield from ((kind, end) for kind in build.stands_for(on))
    brought = (part_wanted(text).kind for text in (*work.operation.parts, *work.brought))
    named = (*work.operation.touches, *brought)
    at = end if work.operation.at_place else ""
    yield from ((kind, at) for kind in named)
