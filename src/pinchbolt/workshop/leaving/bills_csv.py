"""Bills for the books, as CSV: one row a bill and rate of tax, and the sum of all rows at the end."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from io import StringIO

from pinchbolt.workshop.leaving.bill import BillView

COLUMNS = (
    "number", "issued", "supplied", "job", "tag", "tax_percent", "net", "tax", "gross", "currency", "paid_how", "reverses",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BillRow:
    """One bill at one rate; `tax_percent` None where the shop is not registered."""

    bill: BillView
    tax_percent: Decimal | None
    net: Decimal
    tax: Decimal
    gross: Decimal


def bill_rows(bills: Iterable[BillView]) -> Iterator[BillRow]:
    """Return each bill's rows, the highest rate first; a bill without tax has one."""
    for bill in bills:
        for row in bill.taxes:
            yield BillRow(bill, row.rate, row.net, row.tax, row.gross)
        if not bill.taxes:
            yield BillRow(bill, None, bill.total, 0 * bill.total, bill.total)


def bills_csv(bills: Iterable[BillView], *, names: bool = False) -> str:
    """Return the bills as CSV: RFC 4180, dots in amounts, ISO days; owners' names only if *names* are asked for.

    The last row is the sum of each currency.
    """
    rows, out = list(bill_rows(bills)), StringIO()
    written = csv.writer(out)
    written.writerow([*COLUMNS, "buyer"] if names else COLUMNS)
    for row in rows:
        written.writerow([*_cells(row), *([row.bill.buyer] if names else [])])
    for currency in sorted({row.bill.currency for row in rows}):
        own = [row for row in rows if row.bill.currency == currency]
        sums = [
            f"{sum((getattr(row, name) for row in own), Decimal(0)):f}" for name in ("net", "tax", "gross")
        ]
        written.writerow(["sum", "", "", "", "", "", *sums, currency, "", "", *([""] if names else [])])
    return out.getvalue()


def _cells(row: BillRow) -> list[str]:
    bill = row.bill
    return [
        bill.number,
        bill.issued.isoformat(),
        bill.supplied.isoformat(),
        f"{bill.tag}-{bill.job}",
        bill.tag,
        "" if row.tax_percent is None else f"{row.tax_percent.normalize():f}",
        f"{row.net:f}",
        f"{row.tax:f}",
        f"{row.gross:f}",
        bill.currency,
        bill.paid_how,
        bill.reverses,
    ]
