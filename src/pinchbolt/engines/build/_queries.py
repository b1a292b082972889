"""What follows from a build sheet: its limits, joints, sign-off items, cautions, prices, pieces of the drawing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pinchbolt.engines.build._truth import all_hold, any_holds, any_of
from pinchbolt.engines.build.build_types import (
    Build,
    FactValue,
    FactWanted,
    PartOn,
    Truth,
    end_of,
    once_a_build,
    once_a_part,
)
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.reference.rows.kinds import PartKind, Value
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.reference.rows.work import Caution, Operation, ShelfPrice, SignoffItem

OUTDOORS, BEHIND = "outdoors", "behind"


@dataclass(frozen=True, slots=True)
class LimitOn:
    """A limit that is read on a part. `by_caution`: the fact that decides is not known, so the careful row is read;
    `asks` are the facts that would settle it, of which no part may be there to tell.

    `deeper`: read when there is cause or in a full service.
    """

    row: LimitRow
    deeper: bool
    by_caution: bool = False
    asks: tuple[FactWanted, ...] = ()


@dataclass(frozen=True, slots=True)
class JointOn:
    """A joint of a bike by its name on it: the row's id, with its end where the bike may have two; `part` brings it.

    `asks`: facts that are not known and decide whether the bike has it; empty where it has. With them it is on the bike
    all the same where its row stands in for facts that are not known (`if_unknown`).
    """

    name: str
    row: JointRow
    part: PartOn
    asks: tuple[FactWanted, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether the joint is taken to be on the bike."""
        return all(ask.fact.id in self.row.if_unknown for ask in self.asks)


@once_a_part
def limits_on(build: Build, part: PartOn) -> tuple[LimitOn, ...]:
    """Return the limits that are read on a part: by its kind and what holds, and all with a reading that stands.

    Args:
        build: The bike. [-]
        part: One of its parts. [-]

    Returns:
        Rows with their pass, in the order of the table. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    found = []
    for row in _limit_rows(build, part):
        truth = all_hold(build, row.when, part)
        careful = truth.answer is None and row.if_unknown
        if (truth.answer or careful) and row.read_in != "records":
            found.append(LimitOn(row, row.read_in == "deeper", careful, truth.asks if careful else ()))
        elif row.id in part.read:
            found.append(LimitOn(row, True))
    there = {one.row.id for one in found}
    others = (build.tables.limits.get(name) for name in sorted(part.read - there))
    return (*found, *(LimitOn(row, True) for row in others if row is not None))


@once_a_part
def questions_of(build: Build, part: PartOn) -> tuple[FactWanted, ...]:
    """Return the facts that decide which limits are read on a part and that nobody knows.

    Args:
        build: The bike. [-]
        part: One of its parts. [-]

    Returns:
        Each fact once; empty where all is settled. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    unknown = [all_hold(build, row.when, part) for row in _limit_rows(build, part)]
    return any_of([one for one in unknown if one.answer is None]).asks if unknown else ()


def _limit_rows(build: Build, part: PartOn) -> Iterable[LimitRow]:
    for kind in build.stands_for(part):
        for row in build.tables.limits_on.get(kind, ()):
            if not row.end or not part.side or row.end == part.side:
                yield row


@once_a_build
def joints_of(build: Build) -> tuple[JointOn, ...]:
    """Return the joints of a bike in the order of the table: those that it has, and those that wait for a fact.

    One that no part of the bike could tell of is left out: there is nobody to ask.

    Args:
        build: The bike. [-]

    Returns:
        Each name once; those with `asks` wait for a fact. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    found: dict[str, JointOn] = {}
    for part in build.parts:
        for kind in build.stands_for(part):
            for row in build.tables.joints_on.get(kind, ()):
                if row.end and part.side and row.end != part.side:
                    continue
                truth = all_hold(build, row.when, part)
                if truth.answer is False or (truth.answer is None and not truth.asks):
                    continue
                name = joint_name(row, part)
                one = JointOn(name, row, part, truth.asks if truth.answer is None else ())
                if name not in found or (found[name].asks and not one.asks):
                    found[name] = one
    order = {name: number for number, name in enumerate(build.tables.joints)}
    return tuple(sorted(found.values(), key=lambda one: (order[one.row.id], one.name)))


@dataclass(frozen=True, slots=True)
class OpenJoints:
    """Joints of which it is not known whether the bike has them: the one fact to ask first, and what waits for it."""

    ask: FactWanted
    joints: tuple[JointOn, ...]

    @property
    def critical(self) -> str:
        """The class of the worst of them: A where one can throw the rider."""
        return min(one.row.critical for one in self.joints)


@once_a_build
def open_joints(build: Build) -> tuple[OpenJoints, ...]:
    """Return what must be asked before it is known which joints a bike has, one question for all that wait for it.

    Where a joint stands in for a fact that is not known, its own line says so, and nothing is open.

    Args:
        build: The bike. [-]

    Returns:
        Questions in the order of the table of joints; none where all is known. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    joints = joints_of(build)
    stood_in = {(ask.part.id, ask.fact.id) for one in joints if one.stands for ask in one.asks}
    found: dict[tuple[int, str, str], tuple[FactWanted, list[JointOn]]] = {}
    for one in joints:
        if one.stands:
            continue
        ask = one.asks[0]
        if (ask.part.id, ask.fact.id) not in stood_in:
            found.setdefault((ask.part.id, ask.part.words, ask.fact.id), (ask, []))[1].append(one)
    return tuple(OpenJoints(ask, tuple(waiting)) for ask, waiting in found.values())


def joint_name(row: JointRow, part: PartOn) -> str:
    """Return what a joint is called on a bike: its id, with the end or place of the part that brings it, where it has one.

    The only one of its kind has none, but for one whose joint another kind brings too at the other end.
    """
    end = part.end or (part.kind.end if part.kind.ends == "one" and len(row.on) > 1 else "")
    return f"{row.id}:{end}" if end else row.id


@once_a_build
def items_for(build: Build) -> tuple[SignoffItem, ...]:
    """Return the sign-off items of a bike in the order of the list: also those of which it is not known.

    An item that its joints' done values prove is asked where the bike has one of them at the item's end, and where
    nobody has looked yet whether it has: a wheel that was never written down is no wheel that needs no look.

    Args:
        build: The bike. [-]

    Returns:
        Rows of the list. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    # Also joints that wait for a fact: that nobody knows what holds the wheel does not take it off the list.
    joints = {(one.row.id, one.part.side) for one in joints_of(build)}

    def concerns(item: SignoffItem) -> bool:
        if item.applies and any_holds(build, item.applies, side=item.end).answer is False:
            return False
        if item.proof != "done value" or not item.joints:
            return True
        here = any(name in item.joints and (not item.end or side in ("", item.end)) for name, side in joints)
        return here or not _seen_without(build, item)

    return tuple(item for item in build.tables.signoff.values() if concerns(item))


def _seen_without(build: Build, item: SignoffItem) -> bool:
    """Whether hands have seen that no part stands there that would bring a joint of the item."""
    rows = (build.tables.joints.get(name) for name in item.joints)
    return all(build.seen(kind, item.end) for row in rows if row is not None for kind in row.on)


@once_a_build
def unseen_corners(build: Build) -> tuple[str, ...]:
    """Return the spots that must be confirmed before sign-off.

    Those are spots where a part would bring an item without which the bike is unsafe, no such part stands there, and
    nobody has confirmed that; where any part may bring it, as one of carbon, those of all parts that could.

    Args:
        build: The bike. [-]

    Returns:
        Ids of corners, sorted. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    found: dict[str, None] = {}
    for item in build.tables.signoff.values():
        if item.if_not != "unsafe to ride" or not item.applies:
            continue
        truth = any_holds(build, item.applies, side=item.end)
        if truth.answer is False and not truth.confirmed:
            found.update(dict.fromkeys(_spots_of(build, item)))
    return tuple(sorted(found))


def _spots_of(build: Build, item: SignoffItem) -> Iterable[str]:
    """The unconfirmed spots at which parts that an item's conditions name would be."""
    waiting, seen = list(item.applies), set()
    while waiting:
        one = waiting.pop()
        feature = build.tables.features.get(one.what)
        if feature is not None and one.what not in seen:
            seen.add(one.what)
            waiting += [*feature.any, *feature.all]
        if one.what == "*":
            spots = {build.spot_of(part) for part in build.parts if one.fact in part.kind.facts}
            yield from sorted(spots - build.confirmed)
        row = build.tables.kinds.get(one.what)
        if row is not None:
            sides = (item.end,) if item.end else ("front", "rear")
            for side in sides:
                spot = build.tables.spots.get(row.station_at(side), "")
                if spot and spot not in build.confirmed:
                    yield spot


@once_a_build
def cautions_for(build: Build) -> tuple[Caution, ...]:
    """Return the cautions that a bike brings up, in the order of the table: also those of which it is not known.

    Args:
        build: The bike. [-]

    Returns:
        Rows, the general one first. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    rows = (row for row in build.tables.cautions.values() if not row.at_joints_only)
    return tuple(row for row in rows if _bites(build, row))


def cautions_at(build: Build, joint: JointRow) -> tuple[Caution, ...]:
    """Return the cautions that bite at one joint of a bike.

    Args:
        build: The bike. [-]
        joint: Row of the joint. [-]

    Returns:
        Rows in the order of the table. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    found = []
    for row in build.tables.cautions.values():
        at_it = (joint.place in row.places or joint.id in row.joints) and row.critical in ("", joint.critical)
        if joint.id in row.always_at or (at_it and _bites(build, row)):
            found.append(row)
    return tuple(found)


def _bites(build: Build, row: Caution) -> bool:
    return not row.when or any_holds(build, row.when).answer is not False


def price_of(
    build: Build, kind: str, part: PartOn | None = None
) -> tuple[ShelfPrice | None, tuple[FactWanted, ...]]:
    """Return the shelf price of a part of this kind for a bike, or the facts that must be known first.

    Args:
        build: The bike. [-]
        kind: Kind of part. [-]
        part: The part in whose place it goes, where there is one. [-]

    Returns:
        The row whose conditions hold, the one with the most where several do; None where there is none. Where a row
        with more conditions may hold and nobody knows, the row that stands in for those facts is meant; without one no
        price is said, but what to ask. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    rows = sorted(
        (row for row in build.tables.prices.values() if row.part == kind), key=lambda row: -len(row.when)
    )
    asks: list[Truth] = []
    for row in rows:
        truth = all_hold(build, row.when, part, part.side if part is not None else "")
        if truth.answer is None:
            asks.append(truth)
        elif truth.answer and _is_meant(row, asks):
            return row, ()
    return None, any_of(asks).asks if asks else ()


def _is_meant(row: ShelfPrice, asks: list[Truth]) -> bool:
    """Whether a price that holds may be said while dearer or cheaper rows wait for these answers."""
    open_facts = {ask.fact.id for truth in asks for ask in truth.asks}
    return open_facts <= set(row.if_unknown) if asks else not row.if_unknown


def does_apply(build: Build, row: Operation, part: PartOn | None = None) -> bool:
    """Return whether an operation of the menu is for this bike; where nobody knows, it is offered.

    Args:
        build: The bike. [-]
        row: The operation. [-]
        part: The part that it would be done on, where there is one. [-]

    Returns:
        False only where it is certain that the bike has no use for it. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    return all_hold(build, row.when, part).answer is not False


def flat_facts(build: Build) -> dict[str, Value]:
    """Return the facts of all parts by the names of the fit rules; where two parts disagree, the fact is left out.

    A part that stands there once more, as the stoker's, is not meant where the first of its kind is.

    Args:
        build: The bike. [-]

    Returns:
        Values by name. [each in the unit of its fact]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    found: dict[str, Value] = {}
    torn = set()
    first = {part.kind.id for part in build.parts if not part.end}
    for part in build.parts:
        if part.end and not end_of(part.end) and part.kind.id in first:
            continue
        for name, value in facts_in_build(build, part).items():
            if name in found and found[name] != value:
                torn.add(name)
            found[name] = value
    return {name: value for name, value in found.items() if name not in torn}


def facts_in_build(build: Build, part: PartOn) -> dict[str, Value]:
    """Return the facts of one part by the names of the fit rules."""
    return {
        row.name_in_build(part.side): known.value
        for name, known in part.facts.items()
        if (row := build.tables.facts.get(name)) is not None and row.build
    }


def owners_of(build: Build, name: str) -> tuple[tuple[PartOn, str], ...]:
    """Return the parts that a fact of the flat build belongs to, each with its own name for it.

    A name without an end, of a fact that both ends have, belongs to the parts of both.

    Args:
        build: The bike. [-]
        name: Name in the flat build. [-]

    Returns:
        Parts and facts; empty where no part of the bike has such a fact. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    named = [
        (part, fact)
        for part in build.parts
        for fact in part.kind.facts
        if (row := build.tables.facts.get(fact)) is not None and row.name_in_build(part.side) == name
    ]
    if named:
        return tuple(named)
    return tuple((part, name) for part in build.parts if name in part.kind.facts)


@once_a_build
def drawn_pieces(build: Build) -> frozenset[str]:
    """Return the pieces of the drawing that the bike's parts bring, with the end where a bike may have one at each.

    Args:
        build: The bike. [-]

    Returns:
        Words that the drawing knows. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    drawn = (part for part in build.parts if part.kind.drawn)
    return frozenset(
        part.kind.drawn if part.kind.ends == "one" else f"{part.kind.drawn} {part.side}".strip()
        for part in drawn
    )


def settled(kind: PartKind, facts: Mapping[str, FactValue]) -> dict[str, FactValue]:
    """Return the facts of a part of this kind with those that the kind itself settles.

    Args:
        kind: Row of the kind. [-]
        facts: What is known of the part. [-]

    Returns:
        Facts by name, those of the kind last. [each in the unit of its fact]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    return {
        **facts,
        **{name: FactValue(value, "maker's sheet") for name, value in (kind.always or {}).items()},
    }


def rides_word(kind: PartKind, end: str) -> str:
    """Return which rides of a bike turn a part of this kind.

    Args:
        kind: Row of the kind. [-]
        end: Where it is: "", front, rear, front left ... [-]

    Returns:
        "" for all, `OUTDOORS` for what stands still on a trainer, `BEHIND` for all but those on a trainer's own wheel. [-]

    Source: The rows of the tables and the build sheet; no figure of its own.
    """
    if kind.rides == "as its wheel":
        return OUTDOORS if end_of(end) == "front" else BEHIND
    return "" if kind.rides == "all" else OUTDOORS
