"""Notes of money: a deposit and its return, what was paid and paid back; nothing goes out that did not come in."""

from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.leaving.bill import BillAgainRequest, ReverseRequest, bill_again, reverse_bill
from pinchbolt.workshop.leaving.job_money import job_money
from pinchbolt.workshop.stays.payments import (
    PaymentBackRequest,
    PaymentRequest,
    PaymentView,
    note_payment,
    payments_of,
    take_back_payment,
)
from tests.story import NOW, Story
from tests.workshop.leaving.test_bills import gone, ready

pytestmark = pytest.mark.django_db
D = Decimal


def note(at: Story, what: str, amount: str, how: str = "cash") -> tuple[PaymentView, ...]:
    """One note."""
    asked = PaymentRequest(at.job, what, D(amount), how)
    return note_payment(asked, by=at.first, key=at.key(), now=NOW)


def take_back(at: Story, payment: int) -> tuple[PaymentView, ...]:
    """The note was wrong."""
    return take_back_payment(PaymentBackRequest(at.job, payment), by=at.first, key=at.key(), now=NOW)


def test_a_deposit_and_its_return_leave_nothing() -> None:
    """The owner changed his mind."""
    at = ready()
    note(at, "deposit", "40.00", "card")
    note(at, "deposit returned", "40.00", "card")
    seen = job_money(at.record)
    assert (seen.came, seen.deposit_left, seen.still_open) == (D(0), D(0), seen.owed)
    bill = gone(at, "not yet")
    assert bill.to_pay == bill.total and len(bill.paid_before) == 2


def test_nothing_goes_out_that_did_not_come_in() -> None:
    """More than the deposit, or without one; with the figure that is there."""
    at = ready()
    with pytest.raises(InputRefused, match=r"£5\.00 can't go back: £0\.00 was left as deposit"):
        note(at, "deposit returned", "5.00")
    note(at, "deposit", "40.00")
    with pytest.raises(InputRefused, match=r"£40\.01 can't go back: £40\.00 was left as deposit"):
        note(at, "deposit returned", "40.01")
    with pytest.raises(InputRefused, match=r"£41\.00 can't go back: £40\.00 came in"):
        note(at, "paid back", "41.00")


def test_what_was_paid_later_closes_the_bill() -> None:
    """Transfer after ten days."""
    at = ready()
    note(at, "deposit", "40.00")
    bill = gone(at, "not yet")
    assert job_money(at.record).still_open == bill.to_pay == bill.total - 40
    note(at, "paid", str(bill.to_pay), "transfer")
    assert job_money(at.record).still_open == 0


def test_a_bill_paid_and_reversed_is_not_paid_twice() -> None:
    """The money of the first counts for the second, and what is left of it can go back."""
    at = ready()
    first = gone(at, "card")
    assert job_money(at.record).still_open == 0
    reverse_bill(ReverseRequest(first.number, "wrong name"), by=at.first, key=at.key(), now=NOW)
    seen = job_money(at.record)
    assert seen.standing is None and seen.can_bill and seen.came == first.total
    second = bill_again(BillAgainRequest(at.job), by=at.first, key=at.key(), now=NOW)
    assert second.to_pay == 0 and [one.amount for one in second.paid_before] == [first.total]
    assert job_money(at.record).still_open == 0


def test_a_wrong_note_is_taken_back_once() -> None:
    """It stays in the history and counts no more; the second try says so."""
    at = ready()
    (wrong,) = note(at, "deposit", "400.00")
    assert take_back(at, wrong.note) == () == payments_of(at.record)
    with pytest.raises(NotPossibleNow, match="corrected already"):
        take_back(at, wrong.note)
    with pytest.raises(NotFound, match="no note 987654 of money"):
        take_back(at, 987654)


def test_a_note_on_a_bill_goes_only_with_the_bill() -> None:
    """What was printed stays true."""
    at = ready()
    (deposit,) = note(at, "deposit", "40.00")
    bill = gone(at, "not yet")
    with pytest.raises(NotPossibleNow, match=f"stands on bill {bill.number}: reverse the bill first"):
        take_back(at, deposit.note)
    reverse_bill(ReverseRequest(bill.number, "no deposit came"), by=at.first, key=at.key(), now=NOW)
    take_back(at, deposit.note)
    again = bill_again(BillAgainRequest(at.job), by=at.first, key=at.key(), now=NOW)
    assert again.to_pay == again.total


def test_a_deposit_under_its_return_stays() -> None:
    """Else more would have gone out than came."""
    at = ready()
    (deposit,) = note(at, "deposit", "40.00")
    note(at, "deposit returned", "10.00")
    with pytest.raises(NotPossibleNow, match="take the note of what went out back first"):
        take_back(at, deposit.note)


@pytest.mark.parametrize(
    ("what", "amount", "how", "sentence"),
    [
        ("tip", "1", "cash", 'The note is "tip"'),
        ("paid", "1", "not yet", 'It came or went by "not yet"'),
        ("paid", "0", "cash", "The amount is 0: above 0"),
        ("paid", "-1", "cash", "The amount is -1: above 0"),
        ("paid", "NaN", "cash", "The amount is NaN"),
        ("paid", "1.005", "cash", r"The amount is 1\.005"),
        ("paid", "1e12", "cash", r"The amount is 1E\+12"),
    ],
)
def test_what_is_out_of_sense_is_refused_whole(what: str, amount: str, how: str, sentence: str) -> None:
    """With what is allowed; nothing is written."""
    at = ready()
    with pytest.raises(InputRefused, match=sentence):
        note(at, what, amount, how)
    assert payments_of(at.record) == ()


def test_a_deposit_is_for_work_to_come() -> None:
    """A bike that is gone has none."""
    at = ready()
    gone(at)
    with pytest.raises(NotPossibleNow, match="a deposit is for work to come"):
        note(at, "deposit", "1.00")


def handover_undone(at: Story) -> None:
    """It was a wrong tap."""
    event = Event.objects.filter(job=at.job, kind="handed over").latest("pk")
    undo_act(UndoRequest(at.job, event.pk), by=at.first, key=at.key(), now=NOW)


def test_what_was_said_paid_with_a_handover_that_was_undone_did_not_come() -> None:
    """The tap said that bike and money changed hands, and was taken back whole: the next bill asks for all of it.

    Counted, it would be asked of nobody, and no page would say so; not counted, whoever did pay says so at the counter.
    """
    at = ready()
    first = gone(at, "cash")
    handover_undone(at)
    seen = job_money(at.record)
    assert (seen.came, seen.still_open, seen.payments) == (0, seen.owed, ())
    (said,) = seen.not_counted
    assert (said.what, said.amount, said.how) == ("paid", first.total, "cash")
    second = gone(at, "not yet")
    assert second.paid_before == () and second.to_pay == second.total


def test_money_that_came_all_the_same_is_noted_and_asked_about_no_more() -> None:
    """The owner did pay, and the bike stayed: the note counts for the next bill, and for money that goes back."""
    at = ready()
    first = gone(at, "card")
    handover_undone(at)
    note(at, "paid", str(first.total), "card")
    assert job_money(at.record).not_counted == ()
    second = gone(at, "not yet")
    assert second.to_pay == 0 and [one.amount for one in second.paid_before] == [first.total]


def test_nothing_is_asked_about_where_nothing_was_said_paid() -> None:
    """Handed over unpaid and undone; and a bill that was taken back by its own act keeps its payment."""
    at = ready()
    gone(at, "not yet")
    handover_undone(at)
    assert job_money(at.record).not_counted == ()
    paid = gone(at, "card")
    reverse_bill(ReverseRequest(paid.number, "wrong name"), by=at.first, key=at.key(), now=NOW)
    seen = job_money(at.record)
    assert seen.not_counted == () and seen.came == paid.total
