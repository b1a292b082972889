"""From whom parts come, and on which terms."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Supplier
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.common.checks import number, short


@dataclass(frozen=True, slots=True)
class SupplierRequest:
    """A supplier, new or known by its name: phone, how to order, our number there, days that it usually takes, a note.

    `carriage` of an order, nothing from `free_from` on; below `least_order` they take none.
    """

    name: str
    phone: str = ""
    how: str = ""
    our_number: str = ""
    days: int | None = None
    note: str = ""
    carriage: Decimal | None = None
    free_from: Decimal | None = None
    least_order: Decimal | None = None


@dataclass(frozen=True, slots=True)
class SupplierView:
    """A supplier."""

    name: str
    phone: str
    how: str
    our_number: str
    days: int | None
    note: str
    carriage: Decimal | None = None
    free_from: Decimal | None = None
    least_order: Decimal | None = None


def say_supplier(request: SupplierRequest, *, by: int, key: str, now: datetime) -> SupplierView:
    """Write a supplier down, or change one.

    Raises:
        InputRefused: No name, a text too long, days out of sense.
    """
    with act("supplier said", by=by, key=key, now=now, request=request) as this:
        name = short(request.name, "name", worded("The supplier's name"), 120, needed=True)
        told = {
            "phone": short(request.phone, "phone", worded("The phone number"), 40),
            "how": short(request.how, "how", worded("How to order"), 200),
            "our_number": short(request.our_number, "our_number", worded("Our number there"), 60),
            "note": short(request.note, "note", worded("The note"), 400),
            "days": None
            if request.days is None
            else int(number(request.days, "days", worded("The usual days"), 0, 365, "days")),
            "carriage": money_or_none(request.carriage, "carriage", "Carriage"),
            "free_from": money_or_none(request.free_from, "free_from", worded("Carriage is free from")),
            "least_order": money_or_none(request.least_order, "least_order", worded("The least order")),
        }
        if not this.repeated:
            Supplier.objects.update_or_create(name=name, defaults=told)
            this.write()
        return next(one for one in suppliers() if one.name == name)


def money_or_none(amount: Decimal | None, field: str, what: str) -> Decimal | None:
    """Return an amount that somebody may have left out.

    Raises:
        InputRefused: Out of sense.
    """
    if amount is None:
        return None
    if not (amount.is_finite() and 0 <= amount <= 100_000):
        sentence = worded(
            "{what} is {amount}: 0 to 100,000 is possible. Type it again.", what=what, amount=str(amount)[:20]
        )
        raise InputRefused(sentence, {field: sentence})
    return amount.quantize(Decimal("0.01"))


def suppliers() -> tuple[SupplierView, ...]:
    """Return the suppliers by name."""
    names = SupplierView.__dataclass_fields__
    return tuple(
        SupplierView(**{name: getattr(row, name) for name in names})
        for row in Supplier.objects.order_by("name")
    )
