"""The terms that bills and askings follow, and the owner of the workshop changing them."""

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.bill_terms.bill_terms_form import BillTermsForm, TaxForm, as_they_are
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.workshop.acts.manage_people import OWNER, people
from pinchbolt.workshop.acts.money_terms import (
    PAPERS,
    TAX_CLASSES,
    BillTermsView,
    TaxRateView,
    set_bill_terms,
    set_tax,
    tax_rates,
    terms_on,
)
from pinchbolt.workshop.common.checks import local_day


@dataclass(frozen=True, slots=True)
class BillTermsPage(Page):
    """What is shown: the terms, tax as it is and as it will be."""

    title: str
    told: BillTermsView
    rates: tuple[TaxRateView, ...]
    is_owner: bool
    terms_form: BillTermsForm
    tax_form: TaxForm
    done: bool

    @property
    def papers(self) -> tuple[tuple[str, str], ...]:
        """The papers that sheets are made for."""
        return tuple((one, {"a4": "A4", "letter": "Letter"}[one]) for one in PAPERS)

    @property
    def tax_classes(self) -> tuple[str, ...]:
        """The classes of tax."""
        return TAX_CLASSES


@require_GET
def bill_terms(request: HttpRequest) -> HttpResponse:
    """What bills and askings follow."""
    return _page(request, now())


@acts(BillTermsForm, lambda request, form: _page(request, now(), form))
def change_bill_terms(act: SentAct[BillTermsForm]) -> HttpResponse:
    """Change the terms."""
    set_bill_terms(act.form.asked(), **act.mark)
    return see("bill_terms", query={"done": "yes"})


@acts(TaxForm, lambda request, form: _page(request, now(), form))
def new_tax(act: SentAct[TaxForm]) -> HttpResponse:
    """Write a tax rate down."""
    set_tax(act.form.asked(local_day(act.now)), **act.mark)
    return see("bill_terms", query={"done": "yes"})


def _page(request: HttpRequest, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    told = terms_on(local_day(when))
    page = BillTermsPage(
        title="bills and tax",
        told=told,
        rates=tax_rates(),
        is_owner=any(one.id == by(request) and one.role == OWNER for one in people()),
        terms_form=form if isinstance(form, BillTermsForm) else as_they_are(told),
        tax_form=own_form(form, TaxForm),
        done=request.GET.get("done") == "yes",
    )
    return screen(request, "bill_terms/bill_terms.html", page, form)
