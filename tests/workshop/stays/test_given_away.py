"""What a person may give away of a job: everything that was given before counts, whichever way it was given."""

from decimal import Decimal

import pytest

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Person
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.discount import DISCOUNT, GOODWILL, given_on
from pinchbolt.workshop.stays.give_discount import DiscountRequest, give_discount
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.own_lines import OwnLineRequest, WorkPriceRequest, own_line, set_work_price
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db
D = Decimal
WORK = "a part made on the lathe"


@pytest.fixture
def bounded(arrived: Story) -> Story:
    """A line of £200.00 of one's own, and a mechanic who may give away 10 % of a job: £20.00 of this one."""
    Person.objects.filter(pk=arrived.first).update(gives_percent=10)
    Person.objects.make("orla", "Orla Penhale", "owner of the workshop", "glue before paint")
    asked = OwnLineRequest(arrived.job, WORK, price=D("200.00"))
    own_line(asked, by=arrived.first, key=arrived.key(), now=NOW)
    return arrived


def give(at: Story, kind: str, amount: str) -> None:
    """So much off, for a reason."""
    asked = DiscountRequest(at.job, kind, "waited long", amount=D(amount))
    give_discount(asked, by=at.first, key=at.key(), now=NOW)


def test_what_was_given_before_counts_and_the_refusal_says_both_together(bounded: Story) -> None:
    """£15.00 as a discount and £6.00 of goodwill make £21.00 of £20.00; £5.00 makes it whole."""
    give(bounded, DISCOUNT, "15.00")
    with pytest.raises(NotPossibleNow) as refused:
        give(bounded, GOODWILL, "6.00")
    sentence = refused.value.sentence
    assert sentence.startswith("That makes £21.00 off, and Ines Holloway may give 10 % (£20.00) of this job.")
    assert "More is for Orla Penhale" in sentence
    give(bounded, GOODWILL, "5.00")
    assert [one.said["amount"] for one in given_on(bounded.record)] == ["15.00", "5.00"]


def test_work_below_the_menu_is_given_away_too(bounded: Story) -> None:
    """A safety check for £12.00 less than the menu says leaves £8.00 of the bound, whatever the menu says."""
    asked = ProposeRequest(bounded.job, "safety-check")
    line = propose(asked, by=bounded.first, key=bounded.key(), now=NOW).line
    menu = next(one.money.labour for one in estimate(bounded.record).lines if one.id == line)
    less = WorkPriceRequest(bounded.job, line, menu - 12, "he held the bike")
    set_work_price(less, by=bounded.first, key=bounded.key(), now=NOW)
    left = estimate(bounded.record).priced.total / 10 - 12
    with pytest.raises(NotPossibleNow, match=f"That makes £{left + 13:.2f} off"):
        give(bounded, DISCOUNT, f"{left + 1:.2f}")
    give(bounded, DISCOUNT, f"{left - 1:.2f}")


def test_what_was_taken_off_a_line_by_hand_stays_given_when_the_owner_was_asked(bounded: Story) -> None:
    """An asking changes nothing of what was given away."""
    give(bounded, DISCOUNT, "15.00")
    ask_owner(PriceRequest(bounded.job), by=bounded.first, key=bounded.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match=r"That makes £20\.01 off"):
        give(bounded, GOODWILL, "5.01")


def test_a_part_below_its_shelf_price_is_given_away_too(bounded: Story) -> None:
    """Two for £4.00 less each than the shelf says leave £12.00 and a tenth of what they cost."""
    shelf = max(tables().prices.values(), key=lambda row: row.price)
    cheap = LinePart(shelf.name, shelf.price - 4, 2)
    asked = OwnLineRequest(bounded.job, "fit what is on the shelf", minutes=10, parts=(cheap,))
    own_line(asked, by=bounded.first, key=bounded.key(), now=NOW)
    left = estimate(bounded.record).priced.total / 10 - 8
    with pytest.raises(NotPossibleNow, match=f"That makes £{left + 9:.2f} off"):
        give(bounded, DISCOUNT, f"{left + 1:.2f}")
    give(bounded, DISCOUNT, f"{left - 1:.2f}")


def test_a_discount_lowers_what_is_to_pay_and_not_what_the_work_costs(bounded: Story) -> None:
    """£200.00 of work stay £200.00 on the papers; £185.00 of them are agreed, and are paid once it is done."""
    give(bounded, DISCOUNT, "15.00")
    seen = estimate(bounded.record)
    assert (seen.priced.total, seen.agreed.total, seen.to_pay.total, seen.discounts) == (200, 0, 0, ())
    ask_owner(PriceRequest(bounded.job), by=bounded.first, key=bounded.key(), now=NOW)
    line = seen.lines[0].id
    answer(AnswerRequest(bounded.job, {line: True}), by=bounded.first, key=bounded.key(), now=NOW)
    start_work(StandRequest(bounded.job, 1), by=bounded.first, key=bounded.key(), now=NOW)
    finish_line(LineDoneRequest(bounded.job, line), by=bounded.first, key=bounded.key(), now=NOW)
    seen = estimate(bounded.record)
    assert (seen.priced.total, seen.agreed.total, seen.to_pay.total) == (200, 185, 185)
    assert [one.total for one in seen.discounts] == [-15]
