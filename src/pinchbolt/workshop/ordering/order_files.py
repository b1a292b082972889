"""Tonight's orders as files: CSV for the supplier's own form, and a sheet of paper."""

import csv
from datetime import datetime
from io import StringIO
from typing import Protocol, cast

from django.conf import settings
from django.utils.module_loading import import_string

from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.ordering.order_list import PartsOrderView, order_list

_COLUMNS = ("supplier", "their_number", "our_number", "words", "packs", "count", "each", "cost")


class _Press(Protocol):
    def __call__(self, supplier: str, now: datetime) -> bytes: ...


def order_csv(supplier: str, now: datetime) -> str:
    """Return the order to a supplier as CSV, every order where none is named; a cell never begins as a formula does.

    Raises:
        NotFound: Nothing is to be ordered of them.
    """
    out = StringIO()
    lines = csv.writer(out)
    lines.writerow(_COLUMNS)
    for order in orders_to(supplier, now):
        for one in order.lines:
            lines.writerow(
                [
                    _cell(text)
                    for text in (
                        order.supplier, one.supplier_number, one.number, one.words, str(one.packs), str(one.count),
                        f"{one.each:f}", f"{one.cost:f}",
                    )
                ]
            )  # fmt: skip
    return out.getvalue()


def orders_to(supplier: str, now: datetime) -> tuple[PartsOrderView, ...]:
    """Return the order to a supplier; every one where none is named.

    Raises:
        NotFound: Nothing is to be ordered of them.
    """
    orders = order_list(now).orders
    found = tuple(one for one in orders if not supplier or one.supplier == supplier)
    if supplier and not found:
        raise NotFound(worded('Nothing is to be ordered of "{supplier}" tonight.', supplier=supplier[:40]))
    return found


def print_order(supplier: str, now: datetime) -> bytes:
    """Return the order to a supplier as PDF.

    Raises:
        NotFound: Nothing is to be ordered of them.
    """
    press = cast(_Press, import_string(settings.ORDER_PRESS))
    return press(supplier, now)


def _cell(text: str) -> str:
    """What a table program would read as a formula gets a quote before it."""
    return f"'{text}" if text[:1] in "=+-@\t" else text
