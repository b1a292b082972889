"""What is asked of a swap on its page, and a fact that settles a doubt."""

import re
from collections.abc import Mapping
from decimal import Decimal

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Picked, Words, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.goes_to import OWNER
from pinchbolt.workshop.bikes.move_part import MoveRequest
from pinchbolt.workshop.bikes.typed_facts import FactsRequest
from pinchbolt.workshop.parts.swap import SwapRequest

# What is wanted most, as (field, words, unit, condition); the figure goes into the braces.
WANTS = (
    ("sprocket_big", worded("a biggest sprocket of at least"), "teeth", "sprocket_big >= {}"),
    ("sprocket_small", worded("a smallest sprocket of at most"), "teeth", "sprocket_small <= {}"),
    ("rotor_front", worded("a front rotor of"), "mm", "rotor_front == {}"),
    ("rotor_rear", worded("a rear rotor of"), "mm", "rotor_rear == {}"),
)
EXCHANGED = "exchange"
"""What was there went onto the bike that gave the part."""

_FIGURE = re.compile(r"\d{1,4}(\.\d{1,2})?")
RANK_WORDS = {"price": "cheapest", "labour": "quickest", "changes": worded("fewest changes")}


class SwapForm(BenchForm):
    """Two sides and what goes across, or what is wanted."""

    into = Words(worded("into"))
    out_of = Words(worded("out of"))
    move = Picked("part")
    rank = Picked(worded("show first"))
    want_words = Words(worded("or in words"))

    def asked(self) -> SwapRequest:
        """Return the question for the use case."""
        told = self.checked()
        said = told.pop("want_words")
        want = (*wanted(self.data), *((said,) if said else ()))
        moves = {} if want else {"move": told["move"], "out_of": told["out_of"]}
        return SwapRequest(into=told["into"], want=want, rank=told["rank"] or "price", **moves)


def wanted(data: Mapping[str, object]) -> tuple[str, ...]:
    """Return what is wanted as conditions.

    Raises:
        InputRefused: What was typed is no figure.
    """
    found = []
    for name, words, unit, condition in WANTS:
        told = plain_figure(data.get(name, ""))
        if told and not _FIGURE.fullmatch(told):
            sentence = worded(
                '{words} "{told}": a figure in {unit} is expected. Type the figures only.',
                words=words,
                told=told[:20],
                unit=unit,
            )
            raise InputRefused(sentence, {name: sentence})
        if told:
            found.append(condition.format(told))
    return tuple(found)


_NO_DAY = worded("The day of the move is a day: choose it in the calendar, or leave it empty for today.")


class SwapMoveForm(BenchForm):
    """That the part was moved, and where what was there is now: the other way, or one of the places for it."""

    into = Words(worded("into"))
    out_of = Words(worded("out of"))
    move = Picked("part")
    goes = Picked(worded("what was there"))
    price = Money(worded("What it costs in the bins"))
    day = forms.DateField(label=worded("on"), required=False, error_messages={"invalid": _NO_DAY})

    def asked(self) -> MoveRequest:
        """Return the request for the use case."""
        said = self.checked()
        goes, price = said.pop("goes") or OWNER, said.pop("price") or Decimal(0)
        if goes == EXCHANGED:
            return MoveRequest(**said, exchange=True)
        return MoveRequest(**said, gone_to=goes, price=price)


class FactForm(BenchForm):
    """One fact that was read off a bike."""

    tag = Words(worded("bike"))
    fact = forms.CharField(required=False)
    value = Words(worded("value"))

    def asked(self) -> FactsRequest:
        """Return the request for the use case."""
        told = self.checked()
        return FactsRequest(told["tag"], {told["fact"]: told["value"]} if told["fact"] else {})
