"""Prices: labour, the menu of work, shelf prices."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.prices.prices_form import FillForm, LabourForm, OwnOperationForm
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.acts.money_terms import TAX_CLASSES, RateView, labour_on_day, labour_rates, set_labour
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.settings.change_rows import FillRequest, add_operation, fill_prices, filled_prices
from pinchbolt.workshop.settings.row_views import RowLine, rows_found

Filled = tuple[str, str, Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class PricesPage(Page):
    """What is shown: labour by day, the rows that were looked for, and what a factor would do."""

    labour_form: LabourForm
    own_operation_form: OwnOperationForm
    fill_form: FillForm
    labour: Decimal
    rates: tuple[RateView, ...]
    today: date
    wanted: str
    only_ours: bool
    operations: Sequence[RowLine]
    shelf: Sequence[RowLine]
    classes: tuple[str, ...]
    filled: Sequence[Filled]
    asked: FillRequest | None


@require_safe
def prices(request: HttpRequest) -> HttpResponse:
    """What work and parts cost; with a factor behind the address, what it would make of the shelf prices."""
    if "factor" not in request.GET:
        return _page(request, None)
    form = FillForm(request.GET)
    with form.refusable():
        asked = form.asked()
        return _page(request, form, asked, filled_prices(asked))
    return _page(request, form)


@acts(LabourForm, lambda request, form: _page(request, form))
def change_labour(act: SentAct[LabourForm]) -> HttpResponse:
    """Write down what an hour costs."""
    set_labour(act.form.asked(local_day(act.now)), **act.mark)
    return see("prices")


@acts(FillForm, lambda request, form: _page(request, form))
def fill(act: SentAct[FillForm]) -> HttpResponse:
    """Take the whole list that was shown."""
    fill_prices(act.form.asked(), **act.mark)
    return see("prices", at="shelf")


@acts(OwnOperationForm, lambda request, form: _page(request, form))
def own_operation(act: SentAct[OwnOperationForm]) -> HttpResponse:
    """Put an operation of the workshop's own on the menu."""
    return see("row", table="operation", id=add_operation(act.form.asked(), **act.mark))


def _page(
    request: HttpRequest,
    form: BenchForm | None,
    asked: FillRequest | None = None,
    filled: Sequence[Filled] = (),
) -> HttpResponse:
    today, wanted = local_day(now()), request.GET.get("find", "")[:60]
    only_ours = request.GET.get("ours") == "yes"
    page = PricesPage(
        labour_form=own_form(form, LabourForm),
        own_operation_form=own_form(form, OwnOperationForm),
        fill_form=own_form(form, FillForm),
        labour=labour_on_day(today),
        rates=labour_rates(),
        today=today,
        wanted=wanted,
        only_ours=only_ours,
        operations=rows_found(wanted, only_ours, ("operation",)),
        shelf=rows_found(wanted, only_ours, ("price",)),
        classes=TAX_CLASSES,
        filled=filled,
        asked=asked,
    )
    return screen(request, "prices/prices.html", page, form, frame_of(request, "prices", "Prices"))
