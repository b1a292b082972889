"""Parts that are swapped or moved: what each is called, which facts go with it, and what a wheel carries along.

A movable part is named by its kind, behind its end where it has one: "cassette", "front rotor", "rear wheel".
"""

from collections.abc import Mapping

from pinchbolt.reference.rows.kinds import PartKind
from pinchbolt.workshop.common.trade_tables import tables

ENDS = ("front", "rear")
Facts = Mapping[str, object]


def movable() -> tuple[str, ...]:
    """Return the names of all parts that are moved from bike to bike."""
    return tuple(name for kind in tables().kinds.values() if kind.swaps for name in names_at_ends(kind))


def everyday() -> tuple[str, ...]:
    """Return what is moved most days: wheels and what goes with them, those behind first."""
    kinds = (
        kind for kind in tables().kinds.values() if kind.swaps and (kind.carries or kind.fitted_to == "wheel")
    )
    names = [name for kind in kinds for name in names_at_ends(kind)]
    return tuple(sorted(names, key=lambda name: "front" in name))


def names_at_ends(kind: PartKind) -> tuple[str, ...]:
    """Return what a part of this kind is called where it is moved, at each end where it may be."""
    if kind.ends == "one":
        return (kind.id,)
    return tuple(movable_name(kind.id, end) for end in ENDS)


def on_a_trainer() -> tuple[str, ...]:
    """Return what an indoor trainer takes: a whole rear wheel, or what turns with one and stands on a body of its own."""
    kinds = (kind for kind in tables().kinds.values() if kind.swaps and kind.rides == "as its wheel")
    taken = [kind for kind in kinds if kind.carries or kind.ends == "one"]
    return tuple(movable_name(kind.id, "rear") for kind in sorted(taken, key=lambda kind: not kind.carries))


def movable_name(kind: str, end: str) -> str:
    """Return what a part is called where it is moved."""
    row = tables().kinds.get(kind)
    if row is None or row.ends == "one" or not end:
        return kind
    return f"{end} {kind}"


def as_called(what: str) -> str:
    """Return the name of a movable part, however its end was told: 'rotor front' is 'front rotor'."""
    return movable_name(*kind_and_end(what.strip()))


def kind_and_end(what: str) -> tuple[str, str]:
    """Return a movable part's kind and end: 'rear wheel' is ('wheel', 'rear'), and so is 'wheel rear'."""
    for end in ENDS:
        for kind in (what.removeprefix(f"{end} "), what.removesuffix(f" {end}")):
            if kind != what and kind in tables().kinds:
                return kind, end
    return what, ""


def names_of(what: str) -> tuple[str, ...]:
    """Return the names, in the flat build, of the facts of a movable part.

    A wheel's are without what is moved by itself, and with those of what never leaves it: its freehub body, its rim.
    """
    kind, end = kind_and_end(what)
    row = tables().kinds.get(kind)
    if row is None:
        return ()
    own = _in_build(row, end)
    if not row.carries:
        return own
    carried = _carried(end)
    apart_from_it = {name for one in carried if one.swaps for name in _in_build(one, end)}
    stays = [name for one in carried if not one.swaps for name in _in_build(one, end)]
    return tuple(dict.fromkeys((*own, *(name for name in stays if name not in apart_from_it))))


def _in_build(kind: PartKind, end: str) -> tuple[str, ...]:
    """The facts of a kind that fit rules look at, by their names at an end."""
    facts = (tables().facts[name] for name in kind.facts)
    names = tuple(fact.name_in_build(end or kind.end) for fact in facts if fact.build)
    # A back-pedal brake goes along with its wheel, but what brakes the bike is told of the bike.
    bikes_own = {
        fact
        for one in kind.stands_for
        if not tables().kinds[one].carries
        for fact in _brakes(one, end or kind.end)
    }
    return tuple(name for name in names if name not in bikes_own) if kind.fitted_to == "wheel" else names


def _brakes(kind: str, end: str) -> tuple[str, ...]:
    """The names of the facts of a kind that stays on the bike, for one that stands for it and goes with the wheel."""
    row = tables().kinds[kind]
    return _in_build(row, end) if row.fitted_to == "bike" else ()


def _carried(end: str) -> tuple[PartKind, ...]:
    """The kinds that a wheel at this end carries."""
    return tuple(
        one
        for one in tables().kinds.values()
        if one.fitted_to == "wheel" and (one.ends != "one" or (one.end or "rear") == end)
    )


def with_what_it_carries(what: str) -> tuple[str, ...]:
    """Return the parts that come along: a wheel with all that is fitted to one at its end."""
    kind, end = kind_and_end(what)
    row = tables().kinds.get(kind)
    if row is None or not row.carries:
        return (what,)
    return (what, *(movable_name(one.id, end) for one in _carried(end)))


def facts_that_go(what: str) -> frozenset[str]:
    """Return the names of all facts that go with a movable part and what it carries."""
    return frozenset(name for part in with_what_it_carries(what) for name in names_of(part))


def taken_from(facts: Facts, parts: tuple[str, ...]) -> dict[str, object]:
    """Return what is known of these parts in a build; None for what is not known, so that nothing of the other bike stays."""
    whole = apart(facts)
    return {name: whole.get(name) for part in parts for name in names_of(part)}


def apart(facts: Facts) -> dict[str, object]:
    """Return the facts with those of both ends said of each end, so that one end can change by itself."""
    found = dict(facts)
    for fact in tables().facts.values():
        placed = [fact.name_in_build(end) for end in ENDS]
        if placed[0] == placed[1] or fact.id not in found or fact.id in placed:
            continue
        value = found.pop(fact.id)
        for name in placed:
            found.setdefault(name, value)
    return found


def minutes_to_fit(what: str) -> int:
    """Return the usual minutes to fit a part, by the menu of work; 0 where it has no line for it."""
    kind, end = kind_and_end(what)
    row = tables().kinds.get(kind)
    name = row.fitted_by.replace("{end}", end or row.end) if row is not None else ""
    if name in tables().blocks:
        return tables().blocks[name].minutes
    operation = tables().operations.get(name)
    return operation.minutes[1] if operation else 0
