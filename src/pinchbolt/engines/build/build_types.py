"""A bike as its build sheet tells it: parts with their facts, how each is known, and which corners a hand has confirmed."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import wraps
from typing import Literal, TypeVar, cast

from pinchbolt.reference import Tables
from pinchbolt.reference.rows.kinds import PartFact, PartKind, Value
from pinchbolt.values.wording import coded, speaks_english, worded

Found = TypeVar("Found")
Source = Literal[
    "read off the part", "measured", "maker's sheet", "records", "owner's word", "template", "guess"
]
SOURCES: tuple[Source, ...] = (
    "read off the part",
    "measured",
    "maker's sheet",
    "records",
    "owner's word",
    "template",
    "guess",
)
"""How a fact can be known, the surest first."""
ELSEWHERE = "frame"
"""Station and spot of what no table places (any more)."""
CONFIRMING = frozenset(SOURCES[:3])


@dataclass(frozen=True, slots=True)
class FactValue:
    """A fact's value and how it is known; `told` is what the owner says beside it, where that differs."""

    value: Value
    source: Source
    told: Value | None = None

    @property
    def confirmed(self) -> bool:
        """Whether somebody read it off the part, measured it, or has the maker's sheet."""
        return self.source in CONFIRMING


@dataclass(frozen=True, slots=True)
class PartOn:
    """A part on a bike. `id` is that of the record, 0 in a draft; `end`: "", front, rear, front left ...

    `facts` hold those that the kind settles too. `confirmed`: a hand has seen that it is there. `read`: ids of limits
    with a reading that stands.
    """

    id: int
    kind: PartKind
    end: str = ""
    facts: Mapping[str, FactValue] = field(default_factory=dict)
    confirmed: bool = False
    read: frozenset[str] = frozenset()

    @property
    def side(self) -> str:
        """The end of the bike: front, rear or ""."""
        return end_of(self.end) or self.kind.end

    @property
    def words(self) -> str:
        """Where it is and its kind, for people: front rotor."""
        if self.end and not speaks_english():
            return worded("{end} {part}", end=coded(self.end), part=self.kind.words)
        return f"{self.end} {self.kind.words}".strip()

    @property
    def station(self) -> str:
        """The place of the walk-round at which it is."""
        return self.kind.station_at(self.end)

    def value(self, fact: str) -> Value | None:
        """The value of a fact, or None where it is not known."""
        known = self.facts.get(fact)
        return None if known is None else known.value


@dataclass(frozen=True, slots=True)
class Build:
    """A bike's parts today. `bike_kind` is the id of its kind; `confirmed` are the spots that were seen as they stand.

    `tables` are those that the bike is judged by. `worked_out` keeps what was asked of this very build before; it is part of
    none that is made from it.
    """

    tables: Tables
    bike_kind: str
    parts: tuple[PartOn, ...]
    confirmed: frozenset[str] = frozenset()
    worked_out: dict[object, object] = field(default_factory=dict, init=False, compare=False, repr=False)

    def of_kind(self, kind: str, side: str = "") -> Iterator[PartOn]:
        """The parts that are of this kind or stand for it, at one end of the bike where *side* is given."""
        for part in self.parts:
            if side and part.side and part.side != side:
                continue
            if part.kind.id == kind or (kind in part.kind.stands_for and not self._is_apart(kind, part)):
                yield part

    def _is_apart(self, kind: str, stand_in: PartOn) -> bool:
        """Whether a part of *kind* itself is on the build sheet, at the end of the one that would stand for it."""
        return any(
            part.kind.id == kind and (not part.side or not stand_in.side or part.side == stand_in.side)
            for part in self.parts
        )

    def stands_for(self, part: PartOn) -> tuple[str, ...]:
        """The kinds that a part is read as: its own, and those that it stands for here."""
        others = (kind for kind in part.kind.stands_for if not self._is_apart(kind, part))
        return (part.kind.id, *others)

    def part(self, number: int) -> PartOn | None:
        """The part with this number."""
        return next((part for part in self.parts if part.id == number), None)

    def seen(self, kind: str, side: str = "") -> bool:
        """Whether the corner where a part of this kind would be was confirmed, both ends where either could have it."""
        row = self.tables.kinds.get(kind)
        if row is None:
            return False
        sides = (side,) if side or "{end}" not in row.station else ("front", "rear")
        return all(self.tables.spots.get(row.station_at(one)) in self.confirmed for one in sides)

    def spot_of(self, part: PartOn) -> str:
        """The spot of the drawing at which a part is; one that nobody foresaw is with the frame."""
        return self.tables.spots.get(part.station, ELSEWHERE)


def once_a_build(question: Callable[[Build], Found]) -> Callable[[Build], Found]:
    """A question of a build alone, worked out once for each build.

    Args:
        question: What is asked; its answer is not changed by whoever gets it. [-]

    Returns:
        The same question, its answer kept with the build. [-]

    Source: Own bookkeeping.
    """

    @wraps(question)
    def kept(build: Build) -> Found:
        return _kept(build, question.__name__, lambda: question(build))

    return kept


def once_a_part(question: Callable[[Build, PartOn], Found]) -> Callable[[Build, PartOn], Found]:
    """`once_a_build` for a question of a build and one of its parts; of another part it is asked each time.

    Args:
        question: As there. [-]

    Returns:
        The same question, its answers kept with the build. [-]

    Source: As there.
    """

    @wraps(question)
    def kept(build: Build, part: PartOn) -> Found:
        place = next((place for place, one in enumerate(build.parts) if one is part), None)
        if place is None:
            return question(build, part)
        return _kept(build, (question.__name__, place), lambda: question(build, part))

    return kept


def _kept(build: Build, key: object, work_out: Callable[[], Found]) -> Found:
    if key not in build.worked_out:
        build.worked_out[key] = work_out()
    return cast(Found, build.worked_out[key])


@dataclass(frozen=True, slots=True)
class FactWanted:
    """A fact that is not known and decides something: of which part, and the fact's row."""

    part: PartOn
    fact: PartFact


@dataclass(frozen=True, slots=True)
class Truth:
    """Whether something holds of a bike: yes, no, or not known (None); `confirmed` where hands, not a template, say so.

    `asks` are the facts that would settle what is not known.
    """

    answer: bool | None
    confirmed: bool = False
    asks: tuple[FactWanted, ...] = ()


def end_of(place: str) -> str:
    """The end of the bike that a place tells: front of "front left".

    Args:
        place: Where a part is: "", front, rear, front left ... [-]

    Returns:
        front, rear, or "". [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    side = place.partition(" ")[0]
    return side if side in ("front", "rear") else ""
