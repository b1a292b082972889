"""Why an item stands on a bike's safety list: the part or state that brings it, or what nobody knows yet."""

from dataclasses import replace

from pinchbolt.engines.build import Build, PartOn, holds, joints_of
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.reference.rows.work import SignoffItem
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.table_words import value_in_words
from pinchbolt.workshop.common.trade_tables import tables

EVERY_BIKE = worded("every bike")


def why_listed(build: Build, item: SignoffItem) -> tuple[str, ...]:
    """Return, in words, each condition that puts an item on the list; those that nobody knows where none is known to hold."""
    if not item.applies:
        return _by_joints(build, item) or (EVERY_BIKE,)
    truths = [(one, holds(build, one, side=item.end)) for one in item.applies]
    said = [
        _by_parts(build, one, item.end) or in_words(one, item.end) for one, truth in truths if truth.answer
    ]
    if said:
        return tuple(said)
    return tuple(
        worded(
            "not known yet: {asks}",
            asks=", ".join(f"{ask.part.words}, {ask.fact.name}" for ask in truth.asks)
            or in_words(one, item.end),
        )
        for one, truth in truths
        if truth.answer is None
    )


def _by_joints(build: Build, item: SignoffItem) -> tuple[str, ...]:
    """The joints for which an item is asked, where their done value alone proves it."""
    if item.proof != "done value" or not item.joints:
        return ()
    there = [
        one
        for one in joints_of(build)
        if one.row.id in item.joints and (not item.end or one.part.side in ("", item.end))
    ]
    names = dict.fromkeys(one.row.name for one in there if one.stands)
    return tuple(names) or (worded("nobody has seen yet how it is held"),)


def _by_parts(build: Build, one: Condition, side: str) -> str:
    """The parts that make a condition true, each with its own word: "brake front, what the brake works on: disc"."""
    if one.negated or one.what not in build.tables.kinds:
        return ""
    parts = [part for part in build.of_kind(one.what, side) if holds(build, _of_this(one), part).answer]
    return ", ".join(dict.fromkeys(f"{part.words}{_told(one, part)}" for part in parts))


def _of_this(one: Condition) -> Condition:
    """The condition asked of one part alone."""
    return replace(one, what="" if one.fact else one.what)


def _told(one: Condition, part: PartOn) -> str:
    value = part.value(one.fact) if one.fact else None
    return "" if value is None else f", {tables().facts[one.fact].name}: {value_in_words(one.fact, value)}"


def in_words(one: Condition, end: str = "") -> str:
    """Return a condition as a person says it: "disc brake", "no brake in front", "fork, springing: air or coil"."""
    known = tables()
    if one.what == "bike":
        kinds = (known.bike_kinds.get(word) for word in one.words)
        said = " or ".join(kind.words for kind in kinds if kind is not None)
    elif one.what in known.features:
        said = known.features[one.what].words
    else:
        kind = known.kinds.get(one.what)
        said = kind.words if kind is not None else worded("any part") if one.what else ""
        if one.fact in known.facts:
            asked = f"{known.facts[one.fact].name}: {' or '.join(one.words)}"
            said = f"{said}, {asked}" if said else asked
    where = {"front": worded(" in front"), "rear": worded(" behind")}.get(end, "")
    return f"{(worded('no ') if one.negated else '')}{said}{where}"
