"""Is a condition true of a bike: yes, no or not known, and have hands seen it?

Not, any and all are those of Kleene's three-valued logic (S. C. Kleene, Introduction to Metamathematics, 1952,
section 64): "any" is yes as soon as one is, "all" is no as soon as one is, and otherwise what is not known stays so.
"""

from collections.abc import Iterable, Sequence

from pinchbolt.engines.build.build_types import Build, FactWanted, PartOn, Truth
from pinchbolt.reference.rows.condition import Condition, word_of


def holds(build: Build, condition: Condition, on: PartOn | None = None, side: str = "") -> Truth:
    """Return whether a condition is true of a bike.

    Args:
        build: The bike. [-]
        condition: The condition. [-]
        on: The part that the row is read on, for conditions that speak of it or of its end. [-]
        side: The end at which a row is read that is read on no part: front, rear or "". [-]

    Returns:
        Yes, no or not known, whether that is confirmed, and what would settle it. [-]

    Source: S. C. Kleene, Introduction to Metamathematics (1952), section 64: three-valued logic.
    """
    at = (on.side if on is not None else side) if condition.here else side
    truth = _plain(build, condition, on, at)
    if not condition.negated or truth.answer is None:
        return truth
    return Truth(not truth.answer, truth.confirmed, truth.asks)


def all_hold(
    build: Build, conditions: Iterable[Condition], on: PartOn | None = None, side: str = ""
) -> Truth:
    """Return whether all conditions are true; where there is none, yes.

    Args:
        build: The bike. [-]
        conditions: Conditions of a row. [-]
        on: The part that the row is read on. [-]
        side: The end at which a row is read that is read on no part. [-]

    Returns:
        Yes, no or not known. [-]

    Source: S. C. Kleene, Introduction to Metamathematics (1952), section 64: three-valued logic.
    """
    return all_of([holds(build, one, on, side) for one in conditions])


def any_holds(
    build: Build, conditions: Iterable[Condition], on: PartOn | None = None, side: str = ""
) -> Truth:
    """Return whether one condition at least is true; where there is none, no.

    Args:
        build: The bike. [-]
        conditions: Conditions of a row. [-]
        on: The part that the row is read on. [-]
        side: The end at which a row is read that is read on no part. [-]

    Returns:
        Yes, no or not known. [-]

    Source: S. C. Kleene, Introduction to Metamathematics (1952), section 64: three-valued logic.
    """
    return any_of([holds(build, one, on, side) for one in conditions])


def any_of(truths: Sequence[Truth]) -> Truth:
    """Yes where one is; no where all are; what decided says whether it is confirmed."""
    yes = [one for one in truths if one.answer]
    if yes:
        return Truth(True, any(one.confirmed for one in yes))
    if all(one.answer is False for one in truths):
        return Truth(False, all(one.confirmed for one in truths))
    return Truth(None, asks=_asks(truths))


def all_of(truths: Sequence[Truth]) -> Truth:
    """No where one is; yes where all are; what decided says whether it is confirmed."""
    no = [one for one in truths if one.answer is False]
    if no:
        return Truth(False, any(one.confirmed for one in no))
    if all(one.answer for one in truths):
        return Truth(True, all(one.confirmed for one in truths))
    return Truth(None, asks=_asks(truths))


def _asks(truths: Iterable[Truth]) -> tuple[FactWanted, ...]:
    found = {(ask.part.id, ask.part.words, ask.fact.id): ask for one in truths for ask in one.asks}
    return tuple(found.values())


def _plain(build: Build, condition: Condition, on: PartOn | None, side: str) -> Truth:
    """The truth of a condition as it stands without its "not"."""
    if condition.what == "bike":
        return Truth(build.bike_kind in condition.words, True)
    feature = build.tables.features.get(condition.what)
    if feature is not None:
        if feature.all:
            return all_hold(build, feature.all, on, side)
        return any_holds(build, feature.any, on, side)
    if condition.what == "":
        return Truth(None) if on is None else _of_fact(build, [on], condition)
    if condition.what == "*":
        having = [
            part for part in build.parts if condition.fact in part.kind.facts or condition.fact in part.facts
        ]
        having = [part for part in having if not side or not part.side or part.side == side]
        # No part that could tell: the chain still runs over some number of sprockets, whoever forgot to write them down.
        return _of_fact(build, having, condition) if having else Truth(None)
    parts = list(build.of_kind(condition.what, side))
    if not parts:
        return Truth(False, build.seen(condition.what, side))
    if not condition.fact:
        return Truth(True, any(part.confirmed for part in parts))
    return _of_fact(build, parts, condition)


def _of_fact(build: Build, parts: Sequence[PartOn], condition: Condition) -> Truth:
    """Whether one of the parts has one of the words for the fact."""
    return any_of([_of_one(build, part, condition) for part in parts])


def _of_one(build: Build, part: PartOn, condition: Condition) -> Truth:
    known = part.facts.get(condition.fact)
    if known is None:
        row = build.tables.facts.get(condition.fact)
        return Truth(None, asks=(FactWanted(part, row),) if row is not None else ())
    return Truth(word_of(known.value) in condition.words, known.confirmed)
