"""What a swap may be made of: parts in the bins and to order, and parts moved between an owner's bikes."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from pinchbolt.engines.fit import ItemPrice, Offer
from pinchbolt.records.models import BinPart
from pinchbolt.workshop.drive import RINGS, SPROCKETS
from pinchbolt.workshop.hosts import Host
from pinchbolt.workshop.part_facts import (
    BLOCK,
    ENDS,
    MOVABLE,
    OPERATION,
    apart,
    kind_and_end,
    names_of,
    taken_from,
)
from pinchbolt.workshop.trade_tables import tables

NOT_KNOWN = "cannot tell"
TEETH = (RINGS, SPROCKETS)
# Kinds that stand at either end, where the bin does not say which.
_EITHER_END = ("rotor", "tyre", "wheel")


def what_of(row: BinPart) -> tuple[str, ...]:
    """Return the movable parts that a part of the bins can be: a rotor without an end is one for either."""
    kind = row.kind.strip().lower()
    for end in ENDS:
        if kind == f"{end} wheel":
            return (kind,)
    if kind in _EITHER_END:
        ends = (row.place,) if row.place else ENDS
        return tuple(f"{end} wheel" if kind == "wheel" else f"{kind} {end}" for end in ends)
    return (f"{kind} {row.place}".strip(),)


@dataclass(frozen=True, slots=True)
class Offered:
    """An offer to the planner, and the teeth of its rings or sprockets, which no fit rule looks at."""

    offer: Offer
    teeth: Mapping[str, object]


def _offered(offer: Offer) -> Offered:
    teeth = {name: value for name, value in offer.sets.items() if name in TEETH}
    sets = {name: value for name, value in offer.sets.items() if name not in TEETH}
    return Offered(replace(offer, sets=sets), teeth)


def facts_at(facts: Mapping[str, object], what: str) -> dict[str, object]:
    """Return a part's facts by the names of the build: rotor = 160 of a rotor in front is rotor_front."""
    known = names_of(what)
    end = kind_and_end(what)[1]
    found = {}
    for name, value in facts.items():
        placed = f"{name}_{end}" if end else name
        if end and name == "hub":
            placed = f"{end}_hub"
        found[placed if placed in known else name] = value
    return found


def bin_offers(build: Mapping[str, object]) -> Iterator[Offered]:
    """Every part of the bins that brings a fact, at each place where it can go."""
    for row in BinPart.objects.filter(meets="").order_by("number"):
        for what in what_of(row):
            facts = facts_at(row.facts, what)
            if not facts:
                continue
            lies = f"{row.count} in {row.bin or 'the bins'}" if row.count else "to order"
            place = f", {what.split()[-1]}" if len(what_of(row)) > 1 else ""
            offer = Offer(
                id=f"bin {row.number} {what}",
                words=f"{row.words}{place} ({row.number}, {lies})",
                slot=what,
                sets={**_forgotten(what, build, facts), **facts},
                price=row.price,
                minutes=row.minutes if row.minutes is not None else minutes_of(what),
                in_bins=row.count > 0,
            )
            yield _offered(offer)


def small_parts() -> tuple[ItemPrice, ...]:
    """What spacers, shims and adapters cost."""
    return tuple(
        ItemPrice(row.meets, row.price, row.minutes or 0) for row in BinPart.objects.exclude(meets="")
    )


def moved_offers(
    hosts: Iterable[Host], build: Mapping[str, object], *, own: Host | None = None
) -> Iterator[Offered]:
    """Parts of other bikes, and those of the bike itself that a wheel moved in has displaced (*own*)."""
    for one in hosts:
        for what in MOVABLE:
            yield from _moved(one, what, build, f"{what} of {one.name}, which is then without")
    if own is not None:
        for what in ("cassette", *(f"{kind} {end}" for kind in ("rotor", "tyre") for end in ENDS)):
            yield from _moved(own, what, build, f"{what} of its own, moved across")


def _moved(one: Host, what: str, build: Mapping[str, object], words: str) -> Iterator[Offered]:
    facts = {name: value for name, value in taken_from(one.facts, (what,)).items() if value is not None}
    changed = any(build.get(name) != value for name, value in facts.items())
    if facts and changed:
        sets = {**_forgotten(what, build, facts), **facts}
        yield _offered(Offer(f"moved {one.name} {what}", words, what, sets, Decimal(0), minutes_of(what)))


def _forgotten(what: str, build: Mapping[str, object], facts: Mapping[str, object]) -> dict[str, object]:
    """What was known of the old part and is not of the new one is known no longer."""
    return {name: NOT_KNOWN for name in names_of(what) if name in build and name not in facts}


def minutes_of(what: str) -> int:
    """Return the usual minutes to fit a part, by the menu of work; 0 where it has no line for it."""
    if what in BLOCK:
        return tables().blocks[BLOCK[what]].minutes
    operation = tables().operations.get(OPERATION.get(kind_and_end(what)[0], ""))
    return operation.minutes[1] if operation else 0


def whole(facts: Mapping[str, object]) -> dict[str, object]:
    """Return a build with the facts of both ends said of each."""
    return apart(facts)
