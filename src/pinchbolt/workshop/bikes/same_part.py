"""The same part at another end: a brake, a rotor, a wheel or a tyre behind like the one in front."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import FactValue
from pinchbolt.errors import NotPossibleNow
from pinchbolt.reference.rows.kinds import Value
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.acts.lookups import part_by_id
from pinchbolt.workshop.bikes.build_sheet import facts_of_part
from pinchbolt.workshop.bikes.change_build import (
    AddRequest,
    DescribeRequest,
    PartChanged,
    add_part,
    bike_of,
    describe,
)
from pinchbolt.workshop.bikes.part_questions import kind_named
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class SameRequest:
    """A part that another one is like, and the end at which that one is."""

    part: int
    end: str


def add_same(request: SameRequest, *, by: int, key: str, now: datetime) -> PartChanged:
    """Write a part like another one on the same bike's build sheet.

    Who says so has seen both: what an eye tells is read off the new one, too. A marking or a measure of the other part
    is a guess about this one until somebody has looked.

    Raises:
        InputRefused: No such end.
        NotPossibleNow: Such a part is there already, or the other one is on no bike.
    """
    with one_at_a_time():
        old = part_by_id(request.part)
        bike = bike_of(old)
        if bike is None:
            raise NotPossibleNow(
                worded("This {old} is on no bike now: choose a part from the build sheet.", old=old)
            )
        kind = kind_named(old.kind)
        known = {
            name: fact
            for name, fact in facts_of_part(old).items()
            if name in kind.facts and name not in (kind.always or {})
        }
        by_eye: dict[str, Value | None] = {name: one.value for name, one in known.items() if _seen(name, one)}
        guessed: dict[str, Value | None] = {
            name: one.value for name, one in known.items() if name not in by_eye
        }
        added = add_part(
            AddRequest(bike.tag, kind.id, end=request.end, facts=by_eye), by=by, key=key, now=now
        )
        if guessed:
            said = DescribeRequest(added.part, guessed, "guess")
            describe(said, by=by, key=f"{key}-like", now=now)
        return added


def _seen(name: str, known: FactValue) -> bool:
    """Whether an eye that looks at both parts tells this fact of the new one."""
    row = tables().facts.get(name)
    return known.confirmed and row is not None and row.seen == "eye"
