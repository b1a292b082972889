"""What each supplier sells of the bins: their number, what one costs us, how many come in a pack; and what is left of a price."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from pinchbolt.engines.stock import gtin_of
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import BinPart, Supplier, SupplierPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import tax_on_day
from pinchbolt.workshop.common.checks import number, short
from pinchbolt.workshop.parts.suppliers import money_or_none


@dataclass(frozen=True, slots=True)
class SoldByRequest:
    """Who sells a number of the bins, at what it costs us without tax, in which packs; `gtin` the number under its bar code.

    A `cost` of None: not sold there any more.
    """

    number: str
    supplier: str
    cost: Decimal | None
    pack: int = 1
    supplier_number: str = ""
    gtin: str = ""


@dataclass(frozen=True, slots=True)
class SoldByView:
    """Who sells a part, and how."""

    supplier: str
    cost: Decimal
    pack: int
    supplier_number: str


@dataclass(frozen=True, slots=True)
class MarginView:
    """What is left of a part's price: price without tax, the least it costs us, the difference and its share of the price."""

    number: str
    words: str
    price: Decimal
    net: Decimal
    cost: Decimal
    supplier: str
    left: Decimal
    percent: float


class SoldLine(Protocol):
    """A line of a file of parts, as far as it says who sells it."""

    @property
    def number(self) -> str: ...  # noqa: D102
    @property
    def supplier(self) -> str: ...  # noqa: D102
    @property
    def supplier_number(self) -> str: ...  # noqa: D102
    @property
    def cost(self) -> Decimal | None: ...  # noqa: D102
    @property
    def pack(self) -> int: ...  # noqa: D102


def say_sold_by(request: SoldByRequest, *, by: int, key: str, now: datetime) -> tuple[SoldByView, ...]:
    """Write down who sells a number of the bins, and return all who do.

    Raises:
        NotFound: No such number in the bins.
        InputRefused: No supplier, a cost or a pack out of sense, a bar code whose last figure does not fit.
    """
    with act("part sold by", by=by, key=key, now=now, request=request) as this:
        row = bin_by_number(request.number)
        name = short(request.supplier, "supplier", worded("The supplier"), 120, needed=True)
        cost = money_or_none(request.cost, "cost", worded("What one costs us"))
        pack = int(number(request.pack, "pack", worded("The pack"), 1, 1000, "pieces"))
        theirs = short(request.supplier_number, "supplier_number", worded("Their number"), 60)
        gtin = gtin_of(request.gtin) if request.gtin.strip() else ""
        if not this.repeated:
            if cost is None:
                SupplierPart.objects.filter(bin_part=row, supplier__name=name).delete()
            else:
                SupplierPart.objects.update_or_create(
                    bin_part=row,
                    supplier=Supplier.objects.get_or_create(name=name)[0],
                    defaults={"each": cost, "pack": pack, "number": theirs},
                )
            if gtin and gtin != row.gtin:
                row.gtin = gtin
                row.save(update_fields=["gtin"])
            this.write()
        return sold_by(row)


def bin_by_number(told: str) -> BinPart:
    """Return the row of the bins with a number.

    Raises:
        NotFound: There is none.
    """
    row = BinPart.objects.filter(number=told.strip()[:60]).first()
    if row is None:
        raise NotFound(
            worded(
                'Nothing in the bins has the number "{told}". Look at the list of the bins.', told=told[:40]
            )
        )
    return row


def sold_by(row: BinPart) -> tuple[SoldByView, ...]:
    """Return who sells a part, the cheapest first."""
    rows = row.sold_by.select_related("supplier").order_by("each", "supplier__name")
    return tuple(SoldByView(one.supplier.name, one.each, one.pack, one.number) for one in rows)


def bins_scanned(told: str) -> tuple[BinPart, ...]:
    """Return what a scanner, or a hand, named: by our number, else by a supplier's, else by the bar code.

    Raises:
        InputRefused: Nothing was named, or a bar code was misread.
        NotFound: Nothing here has this number.
    """
    plain = told.strip()[:60]
    if not plain:
        sentence = worded("Nothing was scanned. Scan the bar code, or type the number.")
        raise InputRefused(sentence, {"scanned": sentence})
    found = list(BinPart.objects.filter(number=plain))
    if not found:
        found = list(BinPart.objects.filter(sold_by__number=plain).distinct().order_by("number"))
    if not found:
        # Only figures are a bar code; a misread one is scanned again, and never taken for another part.
        if not plain.replace(" ", "").replace("-", "").isdecimal():
            raise NotFound(
                worded(
                    'Nothing in the bins has the number "{plain}". Look at the list of the bins.',
                    plain=plain[:40],
                )
            )
        gtin = gtin_of(plain)
        found = list(BinPart.objects.filter(gtin=gtin).order_by("number"))
    if not found:
        raise NotFound(
            worded(
                "No part here has the bar code {plain}. Choose the part in the bins and write the "
                "code down there; after that one scan finds it.",
                plain=plain,
            )
        )
    return tuple(found)


def sold_otherwise(lines: Sequence[SoldLine]) -> frozenset[tuple[str, str]]:
    """Return the lines of a file, by number and supplier, that say something new of who sells it."""
    told = {(one.number, one.supplier): one for one in lines if one.cost is not None}
    if not told:
        return frozenset()
    rows = SupplierPart.objects.filter(supplier__name__in={supplier for _, supplier in told})
    names = ("bin_part__number", "supplier__name", "each", "pack", "number")
    so = {
        (part, supplier): (each, pack, theirs)
        for part, supplier, each, pack, theirs in rows.values_list(*names)
    }
    return frozenset(
        at for at, one in told.items() if so.get(at) != (one.cost, one.pack, one.supplier_number)
    )


def write_sold_by(lines: Sequence[SoldLine]) -> None:
    """Write down who sells the parts of a file, all at once: a file may have 50,000 lines."""
    told = [(one, one.cost) for one in lines if one.cost is not None]
    if not told:
        return
    for name in sorted({one.supplier for one, _ in told}):
        Supplier.objects.get_or_create(name=name)
    makers = Supplier.objects.in_bulk({one.supplier for one, _ in told}, field_name="name")
    parts = BinPart.objects.in_bulk([one.number for one, _ in told], field_name="number")
    SupplierPart.objects.bulk_create(
        [
            SupplierPart(
                bin_part=parts[one.number],
                supplier=makers[one.supplier],
                each=cost,
                pack=one.pack,
                number=one.supplier_number,
            )
            for one, cost in told
        ],
        batch_size=200,
        update_conflicts=True,
        unique_fields=["bin_part", "supplier"],
        update_fields=["each", "pack", "number"],
    )


def margins(today: date) -> tuple[MarginView, ...]:
    """Return what is left of the price of each part whose buying price is known, the least first.

    The price in the bins is with tax, what it costs us is without: the tax of the day is taken out.
    """
    rate = tax_on_day(today).get("standard", Decimal(0)) if terms().is_registered else Decimal(0)
    rows = SupplierPart.objects.select_related("bin_part", "supplier").order_by("bin_part", "each")
    cheapest: dict[int, SupplierPart] = {}
    for row in rows:
        cheapest.setdefault(row.bin_part_id, row)
    found = [_margin(row, rate) for row in cheapest.values()]
    return tuple(sorted(found, key=lambda one: (one.percent, one.number)))


def _margin(row: SupplierPart, rate: Decimal) -> MarginView:
    net = (row.bin_part.price / (1 + rate / 100)).quantize(Decimal("0.01"))
    left = net - row.each
    percent = float(100 * left / net) if net else 0.0
    return MarginView(
        row.bin_part.number, row.bin_part.words, row.bin_part.price, net, row.each, row.supplier.name, left, percent
    )  # fmt: skip
