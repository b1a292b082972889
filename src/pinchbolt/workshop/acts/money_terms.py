"""What bills and askings follow: tax by class from a day, how long a price holds, and what stands on the papers."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, TaxRate
from pinchbolt.values.money import figure_text, to_the_penny
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.setting_changes import refuse_unseen, what_changed
from pinchbolt.workshop.common.checks import short

TAX_CLASSES = ("standard", "reduced", "zero")
PAPERS = ("a4", "letter")


@dataclass(frozen=True, slots=True)
class BillTermsRequest:
    """What changes of the terms that bills and askings follow; None leaves a field as it is."""

    address: str | None = None
    phone: str | None = None
    tax_number: str | None = None
    is_registered: bool | None = None
    holds_days: int | None = None
    remind_days: int | None = None
    foot_words: str | None = None
    paper: str | None = None


@dataclass(frozen=True, slots=True)
class TaxRequest:
    """Tax of a class (standard, reduced, zero), in percent, from a day on."""

    tax_class: str
    percent: Decimal
    from_day: date


@dataclass(frozen=True, slots=True)
class BillTermsView:
    """The terms as they stand on a day; `tax` maps each class to its percent, empty where the shop is not registered."""

    address: str
    phone: str
    tax_number: str
    is_registered: bool
    tax: dict[str, Decimal]
    holds_days: int
    remind_days: int
    foot_words: str
    paper: str


def set_bill_terms(request: BillTermsRequest, *, by: int, key: str, now: datetime) -> BillTermsView:
    """Change the terms; what was asked, agreed or billed before keeps its own.

    Raises:
        InputRefused: A value out of its range; the sentence names the field.
    """
    with act("bill terms set", by=by, key=key, now=now, request=request) as this:
        shop = terms()
        if not this.repeated:
            changed = {
                name: value for name, value in checked_bill_terms(request).items() if value is not None
            }
            before = {name: getattr(shop, name) for name in changed}
            for name, value in changed.items():
                setattr(shop, name, value)
            shop.save(update_fields=list(changed))
            this.said = what_changed(before, changed)
            this.write()
        return terms_on(now.date())


def set_tax(request: TaxRequest, *, by: int, key: str, now: datetime) -> BillTermsView:
    """Write a tax rate down, with the day from which it counts.

    Raises:
        InputRefused: No such class, or a percent out of 0 to below 100.
    """
    with act("tax set", by=by, key=key, now=now, request=request) as this:
        if not this.repeated:
            if request.tax_class not in TAX_CLASSES:
                _refuse(
                    "tax_class",
                    worded(
                        'The tax class is "{tax_class}": {tax_classes}. Choose one.',
                        tax_class=request.tax_class[:20],
                        tax_classes=", ".join(TAX_CLASSES),
                    ),
                )
            percent = request.percent
            if not (percent.is_finite() and 0 <= percent < 100 and percent == round(percent, 2)):
                _refuse(
                    "percent",
                    worded(
                        "Tax is {percent} percent: 0 to below 100, in hundredths. Type it again.",
                        percent=str(percent)[:12],
                    ),
                )
            before = tax_on_day(request.from_day).get(request.tax_class)
            name = f"tax {request.tax_class} from {request.from_day}"
            this.said = {
                "was": {name: None if before is None else f"{before:f}"},
                "now": {name: f"{percent:f}"},
                "class": request.tax_class,
                "from_day": request.from_day.isoformat(),
            }
            TaxRate.objects.create(
                event=this.write(), tax_class=request.tax_class, percent=percent, from_day=request.from_day
            )
        return terms_on(now.date())


def terms_on(day: date) -> BillTermsView:
    """Return the terms as they stand on a day."""
    shop = terms()
    names = [name for name in BillTermsView.__dataclass_fields__ if name != "tax"]
    return BillTermsView(**{name: getattr(shop, name) for name in names}, tax=tax_on_day(day))


@once_a_look
def tax_on_day(day: date) -> dict[str, Decimal]:
    """Return the percent of each tax class on a day; empty where the shop is not registered for tax.

    A reduced rate that nobody wrote down is the standard one: too much tax shown is put right, too little is owed.
    """
    shop = terms()
    if not shop.is_registered:
        return {}
    rows = TaxRate.objects.filter(from_day__lte=day, event__corrected_by__isnull=True)
    told = {row.tax_class: row.percent for row in rows.order_by("from_day", "pk")}
    standard = told.get("standard", shop.tax_percent)
    return {
        "standard": standard,
        "reduced": told.get("reduced", standard),
        "zero": told.get("zero", Decimal(0)),
    }


@dataclass(frozen=True, slots=True)
class LabourRequest:
    """What an hour of labour costs, tax included, from a day on."""

    an_hour: Decimal
    from_day: date
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class RateView:
    """A figure that counts from a day on; `id` is that of its event. Labour an hour, or tax of a class in percent."""

    id: int
    what: str
    figure: Decimal
    from_day: date


def set_labour(request: LabourRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down what an hour of labour costs from a day on; what was asked before keeps its price.

    Raises:
        InputRefused: No sum of money that an hour can cost.
        NotPossibleNow: Somebody changed it meanwhile.
    """
    with act("labour set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        currency, asked = terms().currency, request.an_hour
        if not (asked.is_finite() and 1 <= asked <= 100_000):
            _refuse("an_hour", worded("Fill in what an hour of work costs, 1 to 100,000."))
        if currency in ("GBP", "EUR", "USD", "CHF") and asked > 1000:
            meant = to_the_penny(asked / 100, currency)
            _refuse(
                "an_hour",
                worded(
                    "Labour is {asked} an hour: usually 20 to 200. Was {meant} meant?",
                    asked=figure_text(asked),
                    meant=meant,
                ),
            )
        amount = to_the_penny(asked, currency)
        before = labour_on_day(request.from_day)
        refuse_unseen("prices", ["labour"], request.seen)
        this.said = {
            "was": {"labour": f"{before:f}"},
            "now": {"labour": f"{amount:f}"},
            "from_day": request.from_day.isoformat(),
        }
        this.write()


@once_a_look
def labour_on_day(day: date) -> Decimal:
    """Return what an hour of labour costs on a day."""
    rates = [row for row in labour_rates() if row.from_day <= day]
    return rates[-1].figure if rates else terms().labour_an_hour


def labour_rates() -> tuple[RateView, ...]:
    """Return what an hour cost and will cost by its first day, in order; empty where it never changed."""
    rows = Event.objects.filter(kind="labour set", corrected_by__isnull=True)
    found = [
        RateView(
            row.pk, "labour", Decimal(row.said["now"]["labour"]), date.fromisoformat(row.said["from_day"])
        )
        for row in rows
    ]
    return tuple(sorted(found, key=lambda row: (row.from_day, row.id)))


def tax_rates() -> tuple[RateView, ...]:
    """Return the rates of tax that were written down, by their first day."""
    rows = TaxRate.objects.filter(event__corrected_by__isnull=True).order_by("from_day", "pk")
    return tuple(RateView(row.pk, row.tax_class, row.percent, row.from_day) for row in rows)


def in_coins(amount: Decimal, currency: str) -> bool:
    """Return whether an amount is finite and no finer than the smallest coin."""
    return amount.is_finite() and amount.copy_abs() < 10**9 and amount == to_the_penny(amount, currency)


def checked_bill_terms(request: BillTermsRequest) -> dict[str, object]:
    """Return the columns of the workshop that a request changes, None where it does not."""
    for name in ("holds_days", "remind_days"):
        days = getattr(request, name)
        if days is not None and not 1 <= days <= 365:
            _refuse(name, worded("{days} days: 1 to 365 is possible. Type it again.", days=days))
    if request.paper is not None and request.paper not in PAPERS:
        _refuse(
            "paper", worded('The paper is "{paper}": a4 or letter. Choose one.', paper=request.paper[:10])
        )
    texts = {
        "address": (worded("The address"), 300),
        "phone": (worded("The phone number"), 40),
        "tax_number": (worded("The tax number"), 40),
        "foot_words": (worded("The words at the foot"), 400),
    }
    said = {
        name: short(value, name, *told)
        for name, told in texts.items()
        if (value := getattr(request, name)) is not None
    }
    plain = ("is_registered", "holds_days", "remind_days", "paper")
    return {name: getattr(request, name) for name in plain} | said


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, {field: sentence})
