"""Which part fits this bike: by the name of its standard, and what of it lies in the bins or can be ordered."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.engines.fit import FitReading, WhichFits, which_fits
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.acts.lookups import bike_by_tag, terms
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.common.trade_tables import tables
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
        sentence = (
            f'Nothing is known of {tag.upper()} that decides "{words[:40]}": read the parts beside it and write them on '
            "the build sheet. Then ask again."
        )
        raise InputRefused(sentence, {"words": sentence})
    parts = bins(most=MOST_IN_BINS)
    small = {one.meets.lower(): one.price for one in parts if one.meets}
    return tuple(_view(one, parts, small) for one in found)


def _view(one: WhichFits, parts: Iterable[BinView], small: Mapping[str, Decimal]) -> WhichView:
    answers = tuple(_answer(reading, parts, small) for reading in one.answers)
    known = tuple(f"{meant.name.removeprefix('the ')}: {meant.words}" for meant in one.known)
    # What can be bought leads, cheapest first; the rest as the rule ranks it.
    order = sorted(answers, key=lambda each: each.to_buy[0].price if each.to_buy else Decimal("Infinity"))
    return WhichView(one.name, one.place, one.sought, known, tuple(order), one.lacking)


def _answer(reading: FitReading, parts: Iterable[BinView], small: Mapping[str, Decimal]) -> WhichAnswer:
    verdict = reading.verdict
    needed = sum(
        (price for text, price in small.items() if any(text in need.lower() for need in verdict.with_items)),
        Decimal(0),
    )
    wanted = {str(meant.value) for meant in reading.meant}
    to_buy = sorted(
        (
            PartToBuy(one.number, one.words, one.lies, one.price + needed, verdict.with_items)
            for one in parts
            if not one.meets and wanted and wanted <= {str(value) for value in one.facts.values()}
        ),
        key=lambda each: each.price,
    )
    words = tuple(meant.words for meant in reading.meant) or verdict.with_items
    return WhichAnswer(words, verdict.verdict.value, verdict.with_items, verdict.because, tuple(to_buy[:3]))


def currency() -> str:
    """Return the workshop's currency, in which prices of parts are told."""
    return terms().currency
