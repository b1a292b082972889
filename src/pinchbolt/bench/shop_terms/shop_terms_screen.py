"""What the workshop says of itself, and its owner changing it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, screen
from pinchbolt.bench.shop_terms.terms_form import STANDS, TermsForm
from pinchbolt.reference.rows.country import CountryRow
from pinchbolt.workshop.acts.manage_people import OWNER, people
from pinchbolt.workshop.acts.open_workshop import TermsView, terms_told
from pinchbolt.workshop.acts.open_workshop import change_terms as change
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class ShopTermsPage(Page):
    """What is shown: the workshop's own words and figures."""

    title: str
    told: TermsView
    is_owner: bool
    countries: Sequence[CountryRow]
    stands: tuple[str, ...]
    done: bool


@require_safe
def shop_terms(request: HttpRequest) -> HttpResponse:
    """What the workshop says of itself."""
    return _page(request, None)


@acts(TermsForm, lambda request, form: _page(request, form))
def change_terms(act: SentAct[TermsForm]) -> HttpResponse:
    """Change it."""
    change(act.form.terms(), **act.mark)
    return see("shop_terms", query={"done": "yes"})


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    told = terms_told()
    page = ShopTermsPage(
        title="the workshop",
        told=told,
        is_owner=any(one.id == by(request) and one.role == OWNER for one in people()),
        countries=tuple(tables().countries.values()),
        stands=STANDS,
        done=request.GET.get("done") == "yes",
    )
    return screen(request, "shop_terms/shop_terms.html", page, form or TermsForm(now=told))
