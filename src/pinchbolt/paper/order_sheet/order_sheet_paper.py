"""What an order on paper says: to whom, by which number of ours there, each part by their number, and what it comes to."""

from datetime import datetime

from django.utils import timezone

from pinchbolt.paper.paper_facts import PAPERS, day_text, money, shop_facts, wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.ordering.order_files import orders_to
from pinchbolt.workshop.ordering.order_list import OrderLineView, PartsOrderView


def order_sheet_values(supplier: str, now: datetime) -> dict[str, object]:
    """Return the values of the sheet: the order to a supplier, or every order of tonight.

    Raises:
        NotFound: Nothing is to be ordered of them.
    """
    return {
        "sheet": worded("Order"),
        "title": worded("Order of {name}", name=terms().name),
        "number": "",
        "paper": PAPERS[terms().paper],
        "shop": shop_facts(),
        "bike": {"tag": "", "words": "", "frame_number": ""},
        "day": day_text(timezone.localtime(now).date()),
        "orders": [_order(one) for one in orders_to(supplier, now)],
        "footer": "",
    }


def _order(one: PartsOrderView) -> dict[str, object]:
    carriage = money(one.carriage) if one.carriage else "free"
    return {
        "supplier": wrapped(one.supplier),
        "facts": [
            pair
            for pair in (
                [worded("our number there"), wrapped(one.our_number)],
                [worded("how to order"), wrapped(one.how)],
                [worded("phone"), one.phone],
                [worded("expected"), day_text(one.due)],
            )
            if pair[1]
        ],
        "lines": [_line(line) for line in one.lines],
        "goods": money(one.goods),
        "carriage": carriage,
        "total": money(one.total),
    }


def _line(one: OrderLineView) -> dict[str, object]:
    packs = (
        worded("{packs} of {count}", packs=one.packs, count=one.count // one.packs)
        if one.count != one.packs
        else ""
    )
    return {
        "theirs": wrapped(one.supplier_number),
        "ours": wrapped(one.number),
        "words": wrapped(one.words),
        "count": str(one.count),
        "packs": packs,
        "each": money(one.each),
        "cost": money(one.cost),
    }
