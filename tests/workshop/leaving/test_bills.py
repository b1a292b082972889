"""Bills: one number after the other, what was agreed and done at the price that was told, and the books add up."""

import csv
from dataclasses import replace
from decimal import Decimal
from io import StringIO

import pytest
from django.db import IntegrityError, transaction

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bill, BillBuyer, Event, Workshop
from pinchbolt.workshop.leaving.bill import (
    BillAgainRequest,
    BillView,
    ReverseRequest,
    bill_again,
    bill_by_number,
    bills_between,
    bills_of,
    reverse_bill,
    standing_bill,
)
from pinchbolt.workshop.leaving.bills_csv import bill_rows, bills_csv
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.off_the_bill import LetOffRequest, let_off
from pinchbolt.workshop.stays.payments import PaymentRequest, note_payment
from pinchbolt.workshop.stays.price import estimate, line_words
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db
D = Decimal


@kept
def ready(*declined: str, stand: int = 1) -> Story:
    """A bike with its agreed work done, as yet unsigned."""
    return story.worked(
        story.answered(story.priced(story.walked_round(story.checked_in())), *declined), stand
    )


def gone(at: Story, paid: str = "card") -> BillView:
    """It leaves as it is; its bill."""
    asked = HandOverRequest(at.job, acknowledged=True, as_unsafe=True, paid=paid)
    hand_over(asked, by=at.first, key=at.key(), now=NOW)
    bill = standing_bill(at.record)
    assert bill is not None
    return bill


def adds_up(bill: BillView) -> bool:
    """Whether every sum of a bill is that of what is printed above it."""
    lines = sum((line.price for line in bill.lines), D(0)) - sum((one.amount for one in bill.taken_off), D(0))
    rates = all(row.gross == row.net + row.tax for row in bill.taxes)
    return lines == bill.total and rates and sum((row.gross for row in bill.taxes), D(0)) == bill.total


def test_the_bill_is_what_was_agreed_and_done() -> None:
    """Numbered from one, its lines those done, its sum the sum to pay."""
    at = ready("pads-disc")
    seen = estimate(at.record)
    bill = gone(at)
    assert (bill.number, bill.total, bill.paid_how) == ("2026-0001", seen.to_pay.total, "card")
    assert [line.words for line in bill.lines] == [
        line.words for line in seen.lines if line.answer == "agreed"
    ]
    assert adds_up(bill) and bill.taken_off[0].amount == seen.to_pay.saved > 0


def test_nothing_done_takes_no_number() -> None:
    """A bike that leaves without work has no bill, and the next one is number one."""
    bare = story.checked_in()
    asked = HandOverRequest(bare.job, acknowledged=True, as_unsafe=True)
    assert hand_over(asked, by=bare.first, key=bare.key(), now=NOW).bill == ""
    assert gone(ready()).number == "2026-0001"


def test_a_handover_that_fails_takes_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    """The number is taken inside the act: power that goes after it leaves no gap."""
    at = ready()

    def cut(**_: object) -> None:
        raise OSError("the disk is full")

    with monkeypatch.context() as broken, pytest.raises(OSError, match="disk is full"):
        broken.setattr("pinchbolt.workshop.leaving.bill.Bill.objects.create", cut)
        gone(at)
    assert not Bill.objects.exists() and not Event.objects.filter(kind="handed over").exists()
    assert gone(at).number == "2026-0001"


def test_a_bill_is_never_changed() -> None:
    """Not by the shop's new name, address and rate, and not by hand: the database refuses."""
    bill = gone(ready())
    Workshop.objects.update(name="Another Name", labour_an_hour=D("99"), tax_percent=D("5"), currency="EUR")
    assert bill_by_number("2026-0001") == bill
    with pytest.raises(IntegrityError, match="not changed or removed"), transaction.atomic():
        Bill.objects.update(number=7)


def test_the_owners_name_goes_and_the_bill_stays() -> None:
    """Erased with the owner: number, lines and sums are those of before; the guarded row holds no name."""
    bill = gone(ready())
    assert "Dov Ellenby" not in str(Bill.objects.get().said)
    BillBuyer.objects.update(name="")
    assert bill_by_number(bill.number) == replace(bill, buyer="")


def test_a_bill_is_taken_back_by_a_bill_of_its_own() -> None:
    """The mirror of the first, with its own number and the reason; then another is made."""
    at = ready()
    first = gone(at)
    asked = ReverseRequest("2026-0001", "line charged that was ours")
    back = reverse_bill(asked, by=at.first, key=at.key(), now=NOW)
    assert (back.number, back.reverses, back.total) == ("2026-0002", "2026-0001", -first.total)
    assert adds_up(back) and [row.tax for row in back.taxes] == [-row.tax for row in first.taxes]
    with pytest.raises(NotPossibleNow, match="was taken back already"):
        reverse_bill(asked, by=at.first, key=at.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="takes another one back"):
        reverse_bill(replace(asked, number="2026-0002"), by=at.first, key=at.key(), now=NOW)
    again = bill_again(BillAgainRequest(at.job), by=at.first, key=at.key(), now=NOW)
    assert (again.number, again.total) == ("2026-0003", first.total)
    with pytest.raises(NotPossibleNow, match="Bill 2026-0003 stands"):
        bill_again(BillAgainRequest(at.job), by=at.first, key=at.key(), now=NOW)
    assert len(bills_of(at.record)) == 3


def test_the_same_reversal_twice_is_one_bill() -> None:
    """A double tap."""
    at = ready()
    gone(at)
    key, asked = at.key(), ReverseRequest("2026-0001", "wrong owner")
    assert reverse_bill(asked, by=at.first, key=key, now=NOW) == reverse_bill(
        asked, by=at.first, key=key, now=NOW
    )
    assert Bill.objects.count() == 2


def test_a_line_let_off_stands_on_the_bill_and_is_taken_off_below() -> None:
    """With its reason, and without its tax."""
    at = ready()
    line = next(one for one in estimate(at.record).lines if one.answer == "agreed")
    let_off(LetOffRequest(at.job, line.id, "our work again"), by=at.first, key=at.key(), now=NOW)
    bill = gone(at)
    assert adds_up(bill) and line.words in [one.words for one in bill.lines]
    assert f"{line_words(line)}: our work again" in [one.words for one in bill.taken_off]


def test_a_deposit_is_a_note_that_lowers_what_is_still_to_pay() -> None:
    """The total stays, and the tax with it."""
    at = ready()
    note_payment(PaymentRequest(at.job, "deposit", D("40.00"), "cash"), by=at.first, key=at.key(), now=NOW)
    bill = gone(at, "not yet")
    assert bill.to_pay == bill.total - 40 and [one.what for one in bill.paid_before] == ["deposit"]
    with pytest.raises(InputRefused, match=r"The amount is 0\.001"):
        note_payment(PaymentRequest(at.job, "paid", D("0.001"), "cash"), by=at.first, key=at.key(), now=NOW)


@pytest.mark.parametrize(
    "number", ["", "2026", "2026-9", "0001", "2026-x", "2026-99999999999", "-", "２０２６-1"]
)
def test_a_bill_that_is_not_there_is_named(number: str) -> None:
    """Nothing stands behind it."""
    with pytest.raises(NotFound, match="There is no bill"):
        bill_by_number(number)


def test_the_csv_adds_up_to_the_bills() -> None:
    """One row a rate, dots and ISO days; the last row is the sum; owners' names only when asked for."""
    at = ready()
    first = gone(at)
    second = gone(ready("pads-disc", stand=2))
    reverse_bill(ReverseRequest(first.number, "wrong"), by=at.first, key="reverse-0001", now=NOW)
    bills = bills_between(TODAY, TODAY)
    rows = list(csv.DictReader(StringIO(bills_csv(bills))))
    assert [row["number"] for row in rows] == ["2026-0001", "2026-0002", "2026-0003", "sum"]
    assert D(rows[-1]["gross"]) == sum(bill.total for bill in bills) == second.total
    for name in ("net", "tax", "gross"):
        assert sum(D(row[name]) for row in rows[:-1]) == D(rows[-1][name])
        assert sum(getattr(row, name) for row in bill_rows(bills)) == D(rows[-1][name])
    assert "Dov Ellenby" not in bills_csv(bills) and "Dov Ellenby" in bills_csv(bills, names=True)
    assert bills_between(TODAY.replace(year=2025), TODAY.replace(year=2025)) == ()
