"""What the workshop says of itself, and its owner changing it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.shop_terms.shop_terms_form import ShopForm, TaxForm, shop_now
from pinchbolt.reference.rows.country import CountryRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import describe_shop
from pinchbolt.workshop.acts.money_terms import PAPERS, TAX_CLASSES, RateView, set_tax, tax_on_day, tax_rates
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class ShopTermsPage(Page):
    """What is shown: the workshop's own words and figures, and its tax."""

    shop_form: ShopForm
    tax_form: TaxForm
    countries: Sequence[CountryRow]
    papers: tuple[str, ...]
    classes: tuple[str, ...]
    tax_today: Mapping[str, Decimal]
    rates: tuple[RateView, ...]
    today: date


@require_safe
def shop_terms(request: HttpRequest) -> HttpResponse:
    """What the workshop says of itself."""
    return _page(request, None)


@acts(ShopForm, lambda request, form: _page(request, form))
def change_shop(act: SentAct[ShopForm]) -> HttpResponse:
    """Change it."""
    describe_shop(act.form.asked(), **act.mark)
    return see("shop_terms")


@acts(TaxForm, lambda request, form: _page(request, form))
def change_tax(act: SentAct[TaxForm]) -> HttpResponse:
    """Write a rate of tax down; the one before it is kept."""
    set_tax(act.form.asked(local_day(act.now)), **act.mark)
    return see("shop_terms", at="tax")


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    today = local_day(now())
    page = ShopTermsPage(
        shop_form=form if isinstance(form, ShopForm) else ShopForm(initial=shop_now()),
        tax_form=own_form(form, TaxForm),
        countries=tuple(tables().countries.values()),
        papers=PAPERS,
        classes=TAX_CLASSES,
        tax_today=tax_on_day(today),
        rates=tax_rates(),
        today=today,
    )
    return screen(
        request, "shop_terms/shop_terms.html", page, form, frame_of(request, "shop", worded("The workshop"))
    )
