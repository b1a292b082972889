"""What a swap may be made of: parts in the bins and to order, and parts moved between an owner's bikes."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from pinchbolt.engines.fit import ItemPrice, Offer
from pinchbolt.records.models import BinPart
from pinchbolt.values.wording import coded, worded
from pinchbolt.workshop.bikes.drive import HUB_RATIOS, RINGS, SPROCKETS
from pinchbolt.workshop.bikes.hosts import Host
from pinchbolt.workshop.bikes.movable import (
    ENDS,
    apart,
    kind_and_end,
    minutes_to_fit,
    movable,
    movable_name,
    names_of,
    taken_from,
    with_what_it_carries,
)
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.take_in_parts import BinView

NOT_KNOWN = "cannot tell"
TEETH = (RINGS, SPROCKETS, HUB_RATIOS)


def what_of(row: BinPart | BinView) -> tuple[str, ...]:
    """Return the movable parts that a part of the bins can be: a rotor without an end is one for either."""
    kind, end = kind_and_end(row.kind.strip().lower())
    named = tables().kinds.get(kind)
    if named is None or named.ends == "one":
        return (kind,)
    ends = (row.place or end,) if row.place or end else ENDS
    return tuple(movable_name(kind, one) for one in ends)


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
    end = kind_and_end(what)[1]
    rows = tables().facts
    return {
        (rows[name].name_in_build(end) if name in rows else "") or name: value
        for name, value in facts.items()
    }


def bin_offers(build: Mapping[str, object]) -> Iterator[Offered]:
    """Every part of the bins that brings a fact, at each place where it can go."""
    for row in BinPart.objects.filter(meets="").order_by("number"):
        for what in what_of(row):
            facts = facts_at(row.facts, what)
            if not facts:
                continue
            lies = f"{row.count} in {row.bin or worded('the bins')}" if row.count else worded("to order")
            place = f", {coded(kind_and_end(what)[1])}" if len(what_of(row)) > 1 else ""
            offer = Offer(
                id=f"bin {row.number} {what}",
                words=f"{row.words}{place} ({row.number}, {lies})",
                slot=what,
                sets={**forgotten(what, build, facts), **facts},
                price=row.price,
                minutes=row.minutes if row.minutes is not None else minutes_to_fit(what),
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
        for what in movable():
            yield from _moved(
                one, what, build, worded("{what} of {name}, which is then without", what=what, name=one.name)
            )
    if own is not None:
        carried = {what for end in ENDS for wheel in _wheels(end) for what in with_what_it_carries(wheel)[1:]}
        for what in (one for one in movable() if one in carried):
            yield from _moved(own, what, build, worded("{what} of its own, moved across", what=what))


def _wheels(end: str) -> tuple[str, ...]:
    return tuple(movable_name(kind.id, end) for kind in tables().kinds.values() if kind.carries)


def _moved(one: Host, what: str, build: Mapping[str, object], words: str) -> Iterator[Offered]:
    facts = {name: value for name, value in taken_from(one.facts, (what,)).items() if value is not None}
    if what not in one.parts:
        return
    changed = any(build.get(name) != value for name, value in facts.items())
    if facts and changed:
        sets = {**forgotten(what, build, facts), **facts}
        yield _offered(
            Offer(
                worded("moved {name} {what}", name=one.name, what=what),
                words,
                what,
                sets,
                Decimal(0),
                minutes_to_fit(what),
            )
        )


def forgotten(what: str, build: Mapping[str, object], facts: Mapping[str, object]) -> dict[str, object]:
    """Return what was known of the old part and is not of the new one, as known no longer."""
    return {name: NOT_KNOWN for name in names_of(what) if name in build and name not in facts}


def whole(facts: Mapping[str, object]) -> dict[str, object]:
    """Return a build with the facts of both ends said of each."""
    return apart(facts)
