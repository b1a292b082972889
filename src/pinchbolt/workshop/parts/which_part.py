"""Which part fits this bike: by the name of its standard, and what of it lies in the bins or can be ordered."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.engines.fit import FitReading, WhichFits, what_it_brings, which_fits
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, terms
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts._swap_offers import facts_at, what_of
from pinchbolt.workshop.parts.take_in_parts import BinView, bins

MOST_IN_BINS = 5_000


@dataclass(frozen=True, slots=True)
class PartToBuy:
    """A part of the bins or to order that is one of the answers; `price` with what it needs besides, where that is known."""

    number: str
    words: str
    lies: str
    price: Decimal
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhichAnswer:
    """One part that fits: by the name of its standard, what it needs besides, and what of it is to be had, cheapest first."""

    words: tuple[str, ...]
    verdict: str
    needs: tuple[str, ...]
    because: str
    to_buy: tuple[PartToBuy, ...]


@dataclass(frozen=True, slots=True)
class WhichView:
    """What fits at one place: what was sought, what is known there, the answers, and what else decides."""

    name: str
    place: str
    sought: tuple[str, ...]
    known: tuple[str, ...]
    answers: tuple[WhichAnswer, ...]
    lacking: tuple[str, ...]


def which_part(tag: str, words: str) -> tuple[WhichView, ...]:
    """Return which part fits a bike for the part that is named, with what lies in the bins.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: Nothing was named, no rule knows it, or nothing of the bike is known that decides it.
    """
    found = which_fits(words, facts_of_bike(bike_by_tag(tag)), tables())
    if not found:
        sentence = worded(
            'Nothing is known of {tag} that decides "{words}": read the parts beside it and '
            "write them on the build sheet. Then ask again.",
            tag=tag.upper(),
            words=words[:40],
        )
        raise InputRefused(sentence, {"words": sentence})
    return tuple(_view(one, bins(most=MOST_IN_BINS)) for one in found)


def _view(one: WhichFits, parts: Sequence[BinView]) -> WhichView:
    brought = [(part, said) for part in parts for said in _brought(one, part)]
    small = [part for part in parts if part.meets]
    answers = tuple(_answer(reading, brought, small) for reading in one.answers)
    known = tuple(f"{meant.name.removeprefix('the ')}: {meant.words}" for meant in one.known)
    # What can be bought leads, cheapest first; the rest as the rule ranks it.
    order = sorted(answers, key=lambda each: each.to_buy[0].price if each.to_buy else Decimal("Infinity"))
    return WhichView(one.name, one.place, one.sought, known, tuple(order), one.lacking)


def _brought(one: WhichFits, part: BinView) -> Iterator[Mapping[str, object]]:
    """What a part of the bins would be to the rule, at each end where it can go: a bar of 31.8 is no seat post of that size."""
    if part.meets:
        return
    for what in what_of(part):
        if said := what_it_brings(one, facts_at(part.facts, what), tables()):
            yield said


def _answer(
    reading: FitReading, brought: Sequence[tuple[BinView, Mapping[str, object]]], small: Sequence[BinView]
) -> WhichAnswer:
    verdict = reading.verdict
    met = {need: _meets(need, small) for need in verdict.with_items}
    needed = sum((part.price for part in met.values() if part), Decimal(0))
    if reading.meant:
        sold = {
            part.number: part
            for part, said in brought
            if all(said.get(meant.input) == meant.value for meant in reading.meant)
        }
        buys = [(part, part.price + needed, verdict.with_items) for part in sold.values()]
    else:
        # What goes between two parts is itself what is sought.
        buys = [(part, part.price, ()) for part in {one.number: one for one in met.values() if one}.values()]
    to_buy = sorted(
        (PartToBuy(part.number, part.words, part.lies, price, needs) for part, price, needs in buys),
        key=lambda each: each.price,
    )
    words = tuple(meant.words for meant in reading.meant) or verdict.with_items
    return WhichAnswer(words, verdict.verdict.value, verdict.with_items, verdict.because, tuple(to_buy[:3]))


def _meets(need: str, small: Sequence[BinView]) -> BinView | None:
    """The cheapest small part that does what is needed, by the words of the rule."""
    fitting = [part for part in small if part.meets.lower() in need.lower()]
    return min(fitting, key=lambda part: part.price, default=None)


def currency() -> str:
    """Return the workshop's currency, in which prices of parts are told."""
    return terms().currency
