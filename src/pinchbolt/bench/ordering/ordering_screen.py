"""The order list of tonight and its files; a delivery that comes; the bins to count; who sells what, marks and margins."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.ordering.ordering_form import (
    DeliveryBackForm,
    DeliveryForm,
    MarksForm,
    SendOrderForm,
    SoldByForm,
)
from pinchbolt.bench.page import Page
from pinchbolt.bench.parts_wanted.parts_wanted_form import CountForm
from pinchbolt.bench.shared import now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.ordering.bin_marks import MarksView, bin_marks, set_marks
from pinchbolt.workshop.ordering.order_files import order_csv, print_order
from pinchbolt.workshop.ordering.order_list import OrderListView, order_list
from pinchbolt.workshop.ordering.send_order import send_order
from pinchbolt.workshop.parts.deliver import (
    DeliveryView,
    deliveries,
    on_order_from,
    take_back_delivery,
    take_in_delivery,
)
from pinchbolt.workshop.parts.sold_by import MarginView, margins, say_sold_by
from pinchbolt.workshop.parts.stocktake import ShelfView, count_bin, shelves
from pinchbolt.workshop.parts.suppliers import SupplierView, suppliers
from pinchbolt.workshop.parts.wanted import WantedView

_MOST_SHELVES = 200


@dataclass(frozen=True, slots=True)
class OrderListPage(Page):
    """What is shown: tonight's orders."""

    title: str
    seen: OrderListView
    order_form: SendOrderForm
    done: str
    currency: str


@require_safe
def orders(request: HttpRequest) -> HttpResponse:
    """What to order tonight."""
    return _orders(request)


@acts(SendOrderForm, lambda request, form: _orders(request, form))
def send(act: SentAct[SendOrderForm]) -> HttpResponse:
    """An order went out."""
    sent = send_order(act.form.asked(), **act.mark)
    return see(
        "order_list",
        query={
            "done": worded(
                "On order of {supplier}, expected {due:%d %b %Y}.", supplier=sent.supplier, due=sent.due
            )
        },
    )


def _orders(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    done = request.GET.get("done", "")[:200]
    page = OrderListPage(
        worded("order list"), order_list(now()), own_form(form, SendOrderForm), done, terms().currency
    )
    return screen(request, "ordering/order_list.html", page, form)


@require_safe
def order_file(request: HttpRequest, ending: str) -> HttpResponse:
    """Tonight's order to a supplier as CSV or PDF."""
    supplier, when = request.GET.get("supplier", "")[:120], now()
    name = f"order-{local_day(when).isoformat()}.{ending}"
    if ending == "pdf":
        return HttpResponse(
            print_order(supplier, when),
            content_type="application/pdf",
            headers={"Content-Disposition": f'inline; filename="{name}"'},
        )
    return HttpResponse(
        order_csv(supplier, when),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@dataclass(frozen=True, slots=True)
class ReceivePage(Page):
    """What is shown: what is on order of each supplier, a field for the scanner, what came last."""

    title: str
    suppliers: Sequence[SupplierView]
    supplier: str
    on_order: Sequence[WantedView]
    came: Sequence[DeliveryView]
    delivery_form: DeliveryForm


@require_safe
def receive(request: HttpRequest) -> HttpResponse:
    """A delivery comes."""
    return _receive(request)


@acts(DeliveryForm, lambda request, form: _receive(request, form))
def take_in(act: SentAct[DeliveryForm]) -> HttpResponse:
    """A delivery is taken in."""
    came = take_in_delivery(act.form.asked(), **act.mark)
    return see("receive", at=f"delivery-{came.delivery}", query={"supplier": came.supplier})


@acts(DeliveryBackForm, lambda request, form: _receive(request, form))
def take_back(act: SentAct[DeliveryBackForm]) -> HttpResponse:
    """A delivery was taken in by mistake."""
    take_back_delivery(act.form.asked(), **act.mark)
    return see("receive")


def _receive(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    when, known = now(), suppliers()
    named = str((form.data if form else request.GET).get("supplier", ""))[:120]
    supplier = named or (known[0].name if len(known) == 1 else "")
    page = ReceivePage(
        title=worded("a delivery"),
        suppliers=known,
        supplier=supplier,
        on_order=on_order_from(supplier) if supplier else (),
        came=deliveries(when),
        delivery_form=own_form(form, DeliveryForm),
    )
    return screen(request, "ordering/receive.html", page, form)


@dataclass(frozen=True, slots=True)
class StocktakePage(Page):
    """What is shown: a field for the scanner and the count, and the bins in the order of counting."""

    title: str
    shelves: Sequence[ShelfView]
    more: int
    done: str


@require_safe
def stocktake(request: HttpRequest) -> HttpResponse:
    """The bins to be counted."""
    return _stocktake(request)


@acts(CountForm, lambda request, form: _stocktake(request, form))
def count(act: SentAct[CountForm]) -> HttpResponse:
    """A bin was counted: the next one, please."""
    counted = count_bin(act.form.asked(), **act.mark)
    return see("stocktake", query={"done": f"{counted.number}: {counted.words}"})


def _stocktake(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    found = shelves(now())
    page = StocktakePage(
        "stocktake",
        found[:_MOST_SHELVES],
        max(0, len(found) - _MOST_SHELVES),
        request.GET.get("done", "")[:200],
    )
    return screen(request, "ordering/stocktake.html", page, form)


@dataclass(frozen=True, slots=True)
class MarksPage(Page):
    """What is shown: marks of the bins as they are and should be, what is left of prices, and who sells what."""

    title: str
    marks: Sequence[MarksView]
    margins: Sequence[MarginView]
    suppliers: Sequence[SupplierView]
    sold_form: SoldByForm
    currency: str

    @property
    def marked(self) -> Sequence[MarksView]:
        """Bins that have a mark or should have one."""
        return [one for one in self.marks if not one.needs_none]

    @property
    def unmarked(self) -> Sequence[MarksView]:
        """Bins that need none."""
        return [one for one in self.marks if one.needs_none]


@require_safe
def marks(request: HttpRequest) -> HttpResponse:
    """Marks and margins."""
    return _marks(request)


@acts(MarksForm, lambda request, form: _marks(request, form))
def mark(act: SentAct[MarksForm]) -> HttpResponse:
    """The marks of a bin."""
    set_marks(act.form.asked(), **act.mark)
    return see("bin_marks")


@acts(SoldByForm, lambda request, form: _marks(request, form))
def sold(act: SentAct[SoldByForm]) -> HttpResponse:
    """Who sells a part."""
    say_sold_by(act.form.asked(), **act.mark)
    return see("bin_marks", at="sold-by")


def _marks(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    when = now()
    page = MarksPage(
        worded("marks of the bins"), bin_marks(when, 500), margins(local_day(when)), suppliers(), own_form(form, SoldByForm),
        terms().currency,
    )  # fmt: skip
    return screen(request, "ordering/bin_marks.html", page, form)
