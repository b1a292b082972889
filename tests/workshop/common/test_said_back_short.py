"""A refusal says back what was typed, so that it is found on the form, and no more of it than fits on the tablet."""

from collections.abc import Callable
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.workshop.bikes.part_questions import facts_of_kind
from pinchbolt.workshop.bikes.typed_facts import parse_fact
from pinchbolt.workshop.came_up.call_off import CallOffRequest, call_off
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bill import bill_by_number
from pinchbolt.workshop.parts.parts_file import parts_of
from pinchbolt.workshop.parts.sold_by import bin_by_number, bins_scanned
from pinchbolt.workshop.stays.complaints import (
    ComplaintRequest,
    ComplaintTestRequest,
    answer_test,
    tell_complaints,
)
from pinchbolt.workshop.stays.give_discount import DiscountRequest, give_discount
from pinchbolt.workshop.stays.line_parts import LinePart, checked_part
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.own_lines import OwnLineRequest, WorkPriceRequest, own_line, set_work_price
from pinchbolt.workshop.stays.owner_texts import NotReachedRequest, try_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db
# Pasted into the wrong field: every first so many letters of it are others.
PASTED = "abcdefghijklmnopqrstuvwxyz" + "0123456789" + "ABCDEFGHIJKLMNOPQRSTUVWXYZ" * 2
FIGURES = "1.2345678901234567890123456789"


def line_of_file(cell: str, column: str) -> None:
    """A file of one part with a bad cell."""
    read = parts_of(f"number,kind,words,price,{column}\nA-1,chain,a chain,12.00,{cell}\n")
    (why,) = read.refused[0].why.values()
    raise InputRefused(why)


def cheap(on: Story, price: str) -> None:
    """The work of a line of the menu at a price of so many figures."""
    line = propose(ProposeRequest(on.job, "safety-check"), by=on.first, key=on.key(), now=NOW).line
    asked = WorkPriceRequest(on.job, line, Decimal(price), "he helped")
    set_work_price(asked, by=on.first, key=on.key(), now=NOW)


def split_of(on: Story, split: str) -> None:
    """A complaint is told, and a test of it answered that it has not."""
    told = next(iter(tables().complaints))
    tell_complaints(ComplaintRequest(on.job, (told,)), by=on.first, key=on.key(), now=NOW)
    asked = ComplaintTestRequest(on.job, told, split, yes=True)
    answer_test(asked, by=on.first, key=on.key(), now=NOW)


ASKED: dict[str, tuple[int, Callable[[Story, str], object]]] = {
    "tax class of a part": (20, lambda on, words: checked_part(LinePart("part", Decimal(1), 1, words))),
    "price of a part": (20, lambda on, words: checked_part(LinePart("part", Decimal(words), 1))),
    "price of the work": (20, cheap),
    "end of a line": (
        20,
        lambda on, words: own_line(OwnLineRequest(on.job, "oil it", 5, place=words), by=on.first, key=on.key(), now=NOW),
    ),
    "how the owner was tried": (
        20,
        lambda on, words: try_owner(NotReachedRequest(on.job, words), by=on.first, key=on.key(), now=NOW),
    ),
    "kind of discount": (
        20,
        lambda on, words: give_discount(DiscountRequest(on.job, words, "regular", Decimal(1)), by=on.first, key=on.key(), now=NOW),
    ),
    "complaint": (
        40,
        lambda on, words: tell_complaints(ComplaintRequest(on.job, (words,)), by=on.first, key=on.key(), now=NOW),
    ),
    "test of a complaint": (40, split_of),
    "operation": (40, lambda on, words: propose(ProposeRequest(on.job, words), by=on.first, key=on.key(), now=NOW)),
    "verdict": (
        40,
        lambda on, words: note_finding(FindingRequest(on.job, "It is torn.", words), by=on.first, key=on.key(), now=NOW),
    ),
    "reason of calling off": (
        40,
        lambda on, words: call_off(CallOffRequest(on.job, words), by=on.first, key=on.key(), now=NOW),
    ),
    "number of a bill": (20, lambda on, words: bill_by_number(words)),
    "number in the bins": (40, lambda on, words: bin_by_number(words)),
    "what was scanned": (40, lambda on, words: bins_scanned(words)),
    "bar code in a file": (20, lambda on, words: line_of_file(words, "gtin")),
    "cost in a file": (20, lambda on, words: line_of_file(words, "cost")),
    "count in a file": (20, lambda on, words: line_of_file(words, "count")),
    "end in a file": (20, lambda on, words: line_of_file(words, "place")),
    "fact of a kind": (40, lambda on, words: facts_of_kind(tables().kinds["chain"], "", {words: 1})),
    "fact of a rule": (40, lambda on, words: parse_fact(words, 1)),
}  # fmt: skip


@pytest.mark.parametrize("what", [one for one in ASKED if not one.startswith("price")])
def test_what_was_typed_is_said_back_up_to_where_it_is_cut(arrived: Story, what: str) -> None:
    """In quotes, its first letters and not one more; so it is in what a field's own words say."""
    most, ask = ASKED[what]
    with pytest.raises(PinchboltError) as refused:
        ask(arrived, PASTED)
    for sentence in (refused.value.sentence, *refused.value.errors.values()):
        assert f'"{PASTED[:most]}"' in sentence
        assert PASTED[: most + 1] not in sentence


def test_a_field_of_no_name_is_named_by_its_first_letters(db: None) -> None:
    """A fact that nobody looks at is refused under what was typed as its name, cut as a name of a field is."""
    with pytest.raises(InputRefused) as refused:
        parse_fact(PASTED, 1)
    assert list(refused.value.errors) == [PASTED[:60]]


@pytest.mark.parametrize("what", ["price of a part", "price of the work"])
def test_an_amount_is_said_back_in_twenty_figures(arrived: Story, what: str) -> None:
    """An amount of thirty figures comes from another field."""
    most, ask = ASKED[what]
    with pytest.raises(InputRefused) as refused:
        ask(arrived, FIGURES)
    assert f"costs {FIGURES[:most]}: 0 to" in refused.value.sentence
