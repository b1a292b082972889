"""The money of a job: what is owed, what came, notes of both, and its bills."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.money.money_form import BillAgainForm, PaymentBackForm, PaymentForm, ReverseForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.leaving.bill import bill_again, bills_of, reverse_bill
from pinchbolt.workshop.leaving.job_money import JobMoneyView, job_money
from pinchbolt.workshop.stays.payments import (
    BACK,
    DEPOSIT,
    NOT_YET,
    PAID,
    PAID_BY,
    RETURNED,
    note_payment,
    take_back_payment,
)


@require_GET
def money(request: HttpRequest, job: int) -> HttpResponse:
    """Show the money of a job."""
    return _page(request, job, now())


@acts(PaymentForm, lambda request, form, job: _page(request, job, now(), form))
def note(act: SentAct[PaymentForm], job: int) -> HttpResponse:
    """Note that money came or went."""
    note_payment(act.form.asked(job), **act.mark)
    return back_to("job_money", job=job, at="notes")


@acts(PaymentBackForm, lambda request, form, job: _page(request, job, now(), form))
def note_back(act: SentAct[PaymentBackForm], job: int) -> HttpResponse:
    """Take a note back."""
    take_back_payment(act.form.asked(job), **act.mark)
    return back_to("job_money", job=job, at="notes")


@acts(ReverseForm, lambda request, form, job: _page(request, job, now(), form))
def reverse(act: SentAct[ReverseForm], job: int) -> HttpResponse:
    """Take a bill of this job back by a bill of its own."""
    asked = act.form.asked()
    if asked.number not in {bill.number for bill in bills_of(job_by_id(job))}:
        raise NotFound(worded('This job has no bill "{number}". Reload the page.', number=asked.number[:20]))
    reverse_bill(asked, **act.mark)
    return back_to("job_money", job=job, at="bills")


@acts(BillAgainForm, lambda request, form, job: _page(request, job, now(), form))
def again(act: SentAct[BillAgainForm], job: int) -> HttpResponse:
    """Make a new bill after one was taken back."""
    bill_again(act.form.asked(job), **act.mark)
    return back_to("job_money", job=job, at="bills")


@dataclass(frozen=True, slots=True)
class MoneyPage(Page):
    """What is shown: the money of a job."""

    seen: JobMoneyView
    form_note: PaymentForm
    form_reverse: ReverseForm

    @property
    def currency(self) -> str:
        """The currency of every amount."""
        return self.seen.currency

    @property
    def what(self) -> tuple[str, ...]:
        """What a note may be as the job stands: nothing goes out that did not come in, no deposit after the bike is gone."""
        seen = self.seen
        may = {
            DEPOSIT: not seen.is_over,
            PAID: seen.is_over,
            RETURNED: seen.deposit_left > 0,
            BACK: seen.came > 0,
        }
        return tuple(name for name, offered in may.items() if offered)

    @property
    def ways(self) -> tuple[str, ...]:
        """How money comes and goes."""
        return PAID_BY[:-1]

    @property
    def paid_by(self) -> tuple[str, ...]:
        """How a bill is paid, or not yet."""
        return (NOT_YET, *PAID_BY[:-1])

    @property
    def to_go_back(self) -> Decimal:
        """What came above what is owed."""
        return max(-self.seen.still_open, Decimal(0))


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    page = MoneyPage(job_money(job_by_id(job)), own_form(form, PaymentForm), own_form(form, ReverseForm))
    return job_screen(request, job, "handover", when, "money/money.html", page, form)
