"""What is short, what to order tonight, marks and margins of the bins; who comes back, and what waits in the outbox."""

from typing import Annotated

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Query, Router
from pydantic import AfterValidator

from pinchbolt.api.bodies import writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.asking_back.due_back import BackList, due_back
from pinchbolt.workshop.asking_back.make_letters import LetterView, outbox
from pinchbolt.workshop.came_up.job_parts import ShortPart, short_for_tomorrow
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.ordering.bin_marks import MarksView, bin_marks
from pinchbolt.workshop.ordering.order_files import print_order
from pinchbolt.workshop.ordering.order_list import OrderListView, order_list
from pinchbolt.workshop.parts.deliver import DeliveryView, deliveries
from pinchbolt.workshop.parts.sold_by import MarginView, margins
from pinchbolt.workshop.parts.stocktake import ShelfView, shelves

ANSWERS: dict[str, object] = {
    "see_short": tuple[ShortPart, ...],
    "see_order_list": OrderListView,
    "see_bin_marks": tuple[MarksView, ...],
    "see_margins": tuple[MarginView, ...],
    "see_deliveries": tuple[DeliveryView, ...],
    "see_shelves": tuple[ShelfView, ...],
    "see_due_back": BackList,
    "see_outbox": tuple[LetterView, ...],
}

router = Router(tags=["look"])
Supplier = Annotated[str, Query(max_length=120), AfterValidator(writable)]


@router.get(
    "/parts/short",
    response=ANSWERED,
    operation_id="see_short",
    summary=worded("What is short for what is promised until the end of the next open day."),
)
def short(request: HttpRequest) -> object:
    """Neither here nor in a bin."""
    return as_json(short_for_tomorrow(timezone.now()))


@router.get(
    "/parts/order",
    response=ANSWERED,
    operation_id="see_order_list",
    summary=worded("What to order tonight, of whom, with the reason of each line and how sure the plan is."),
)
def order(request: HttpRequest) -> object:
    """Nothing is ordered by looking at it."""
    return as_json(order_list(timezone.now()))


@router.get(
    "/parts/order/sheet",
    response=ANSWERED,
    operation_id="print_order",
    summary=worded("Tonight's order as PDF."),
)
def order_sheet(request: HttpRequest, supplier: Supplier = "") -> HttpResponse:
    """To one supplier, or all of them."""
    return HttpResponse(print_order(supplier, timezone.now()), content_type="application/pdf")


@router.get(
    "/parts/marks",
    response=ANSWERED,
    operation_id="see_bin_marks",
    summary=worded("Marks of each bin as they are and as they should be, with the reason."),
)
def marks(request: HttpRequest) -> object:
    """Those that differ most first."""
    return as_json(bin_marks(timezone.now()))


@router.get(
    "/parts/margins",
    response=ANSWERED,
    operation_id="see_margins",
    summary=worded("What is left of the price of each part whose buying price is known."),
)
def margin(request: HttpRequest) -> object:
    """Without tax, the least first."""
    return as_json(margins(local_day(timezone.now())))


@router.get(
    "/parts/deliveries",
    response=ANSWERED,
    operation_id="see_deliveries",
    summary=worded("The newest deliveries that were taken in."),
)
def delivered(request: HttpRequest) -> object:
    """Each line in words."""
    return as_json(deliveries(timezone.now()))


@router.get(
    "/parts/shelves",
    response=ANSWERED,
    operation_id="see_shelves",
    summary=worded("The bins in the order in which they are to be counted."),
)
def shelf(request: HttpRequest) -> object:
    """What the book was short of first, then what was counted longest ago."""
    return as_json(shelves(timezone.now()))


@router.get(
    "/back",
    response=ANSWERED,
    operation_id="see_due_back",
    summary=worded("Who comes back in which week, safety first, with reason and risk."),
)
def back(request: HttpRequest, weeks: Annotated[int, Query(ge=1, le=26)] = 8) -> object:
    """What is due within these weeks."""
    return as_json(due_back(timezone.now(), weeks))


@router.get(
    "/letters",
    response=ANSWERED,
    operation_id="see_outbox",
    summary=worded("The letters that wait in the outbox."),
)
def letters(request: HttpRequest) -> object:
    """Those that may not go any more are gone from it."""
    return as_json(outbox())
