"""Which looks of the table a bike has, on which of its parts, and what each reads there."""

from collections.abc import Iterable
from dataclasses import dataclass

from pinchbolt.engines.build._queries import LimitOn, limits_on
from pinchbolt.engines.build._truth import all_hold
from pinchbolt.engines.build.build_types import Build, PartOn, once_a_build
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.reference.rows.looks import LookRow
from pinchbolt.values.wording import coded, worded


@dataclass(frozen=True, slots=True)
class LookOn:
    """A look at this bike: its row, the end where it is one of two, the parts that it is done on, the limits it reads there."""

    row: LookRow
    end: str
    parts: tuple[PartOn, ...]
    reads: tuple[tuple[PartOn, LimitOn], ...]

    @property
    def id(self) -> str:
        """What it is called on this bike: the row's id, with its end where there may be two."""
        return f"{self.row.id}:{self.end}" if self.end else self.row.id

    @property
    def words(self) -> str:
        """What is looked at, with the end where there may be two."""
        return (
            worded("{end} {part}", end=coded(self.end), part=self.row.words) if self.end else self.row.words
        )

    @property
    def station(self) -> str:
        """Where the hands are for it."""
        return self.at_end(self.row.station)

    def at_end(self, name: str) -> str:
        """A name of the row with the end of this look."""
        return name.replace("{end}", self.side)

    @property
    def side(self) -> str:
        """Front or rear, or "" for a look that is one for the whole bike."""
        return self.end.partition(" ")[0]


@once_a_build
def looks_on(build: Build) -> tuple[LookOn, ...]:
    """Return the looks that a bike has, in the order of the table; what nobody knows of is looked at.

    Args:
        build: The bike. [-]

    Returns:
        Each look once an end. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    limits = {part.id: limits_on(build, part) for part in build.parts}
    kinds = [(part, frozenset(build.stands_for(part))) for part in build.parts]
    found: list[LookOn] = []
    for row in build.tables.looks.values():
        by_end: dict[str, list[PartOn]] = {}
        for part, stands_for in kinds:
            if not stands_for.isdisjoint(row.on) and all_hold(build, row.when, part).answer is not False:
                by_end.setdefault((part.end or part.side or "rear") if row.ends else "", []).append(part)
        for end, parts in sorted(by_end.items()):
            reads = tuple(
                (part, one) for part in parts for one in limits.get(part.id, ()) if one.row.id in row.limits
            )
            found.append(LookOn(row, end, tuple(parts), reads))
    return tuple(found)


def is_such_a_bike(build: Build, kinds: Iterable[str], when: Iterable[Condition]) -> bool:
    """Return whether a bike is of one of these kinds (any, where none is named) and all conditions hold for certain.

    Args:
        build: The bike. [-]
        kinds: Ids of kinds of bike. [-]
        when: Conditions. [-]

    Returns:
        False also where nobody knows. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    named = tuple(kinds)
    return (not named or build.bike_kind in named) and all_hold(build, when).answer is True
