"""Which parts end their life on the bike with a line: what its work always renews, and what whoever did it says was new."""

from collections.abc import Mapping

from pinchbolt.engines.build import Build, PartOn, end_of
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Line
from pinchbolt.reference.rows.work import Operation, part_wanted
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.what_was_new import KEPT_AS
from pinchbolt.workshop.stays.line_parts import proposal_of


def may_be_new(line: Line, build: Build) -> tuple[PartOn, ...]:
    """Return the parts on the bike, where the line is done, of which its work renews some and may leave others."""
    operation = tables().operations.get(line.operation)
    kinds = operation.may_renew if operation is not None else ()
    side = end_of(place_of_line(line))
    return tuple(part for part in build.parts if part.kind.id in kinds and _is_at(part, side))


def parts_ended(line: Line, build: Build, said: tuple[int, ...] | None) -> tuple[PartOn, ...]:
    """Return the parts whose life on the bike ends with a line; *said* are those that were new, None where nobody said it.

    Raises:
        InputRefused: Nobody said which part was new and no finding tells it, or one was named that the work can't renew.
    """
    asked = may_be_new(line, build)
    on = build.part(line.finding.part_id) if line.finding and line.finding.part_id else None
    row = proposal_of(line.operation, build, on, line.finding)
    if said is None and asked and row is None:
        sentence = worded(
            "What was new is not said: {parts}. Say which, or that no part was.",
            parts=", ".join(part.words for part in asked),
        )
        raise InputRefused(sentence, {KEPT_AS: sentence})
    if set(said or ()) - {part.id for part in asked}:
        sentence = worded(
            "This part is not where the work was done. Reload the page and say again what was new."
        )
        raise InputRefused(sentence, {KEPT_AS: sentence})
    ended = _ended(row.replaces if row is not None else _brought(line.operation), line, on, build)
    if said is None:
        return ended
    open_ones = {part.id for part in asked}
    always = tuple(part for part in ended if part.id not in open_ones)
    return (*always, *(part for part in asked if part.id in said))


def said_new(asked: tuple[PartOn, ...], ended: tuple[PartOn, ...]) -> dict[str, dict[str, str]]:
    """Return which of the parts that were *asked* about are new, as it is kept with the act; nothing where none was."""
    if not asked:
        return {}
    return {KEPT_AS: {str(part.id): f"{part.end} {part.kind.id}".strip() for part in asked if part in ended}}


def is_left(part: int | None, kind: str, limit: str, line: Line, said: Mapping[str, object]) -> bool:
    """Return whether a line was done and left the old part on which this limit was read, which its work answers by a new one."""
    told, operation = said.get(KEPT_AS), tables().operations.get(line.operation)
    if not isinstance(told, Mapping) or operation is None or kind not in operation.may_renew:
        return False
    return str(part) not in told and any(
        row.operation == line.operation and limit in row.limits and kind in row.replaces
        for row in tables().proposals.values()
    )


def _brought(operation: str) -> tuple[str, ...]:
    """Kinds that a work renews whatever it was done for: what it brings, and what its rows say that it replaces."""
    row: Operation | None = tables().operations.get(operation)
    if row is None:
        return ()
    rows = (one for one in tables().proposals.values() if one.operation == operation)
    return (*(part_wanted(text).kind for text in row.parts), *(kind for one in rows for kind in one.replaces))


def _ended(kinds: tuple[str, ...], line: Line, on: PartOn | None, build: Build) -> tuple[PartOn, ...]:
    """The finding's own part, and each of the other named kinds on the bike at the line's end."""
    side = end_of(line.place or "") or (on.side if on is not None and on.end else "")
    return tuple(
        part
        for part in build.parts
        if part.kind.id in kinds
        and (part.id == on.id if on is not None and part.kind == on.kind else _is_at(part, side))
    )


def _is_at(part: PartOn, side: str) -> bool:
    return not side or not part.end or part.side == side
