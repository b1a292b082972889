"""Bills: numbered without gaps within their year, from the prices that were told, never changed; one is reversed by another.

The number is taken inside the act that makes the bill: what fails takes none.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Max, QuerySet

from pinchbolt.engines.estimate import TaxAtRate
from pinchbolt.errors import NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import Bill, BillBuyer, Event, Job, Person, Role, Workshop
from pinchbolt.values.money import EXACT, money_sum, to_the_penny
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.common.from_plain import from_plain
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.stays.payments import NOT_YET, PaymentView, came_before, refuse_paid
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate, line_words


@dataclass(frozen=True, slots=True)
class BillLine:
    """A line as it is charged: what was done, where and how often, with its parts; `price` is of the line by itself."""

    words: str
    place: str
    count: int
    parts: str
    price: Decimal


@dataclass(frozen=True, slots=True)
class TakenOff:
    """What is taken off below the lines: shared work, or a line with its reason; `amount` above 0 lowers the bill."""

    words: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Seller:
    """The workshop as it stood that day; `tax_number` is empty and `is_registered` False where it is not registered."""

    name: str
    town: str
    address: str
    phone: str
    tax_number: str
    is_registered: bool
    country: str
    foot_words: str
    paper: str


@dataclass(frozen=True, slots=True)
class BillView:
    """A bill, every word and figure as it was made. total = sum of lines - taken off; to_pay = total - paid before."""

    number: str
    job: int
    tag: str
    bike_words: str
    issued: date
    supplied: date
    buyer: str
    seller: Seller
    currency: str
    lines: tuple[BillLine, ...]
    taken_off: tuple[TakenOff, ...]
    total: Decimal
    taxes: tuple[TaxAtRate, ...]
    paid_before: tuple[PaymentView, ...]
    to_pay: Decimal
    paid_how: str
    reverses: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ReverseRequest:
    """The bill to take back, by its number (2026-0001), and why."""

    number: str
    reason: str


@dataclass(frozen=True, slots=True)
class BillAgainRequest:
    """The job that gets a new bill after its bill was reversed."""

    job: int
    paid: str = NOT_YET


def bill_for(this: Act, job: Job, now: datetime, paid: str) -> Bill | None:
    """Make the bill of a job inside the act that hands it over; None where nothing was done."""
    refuse_paid(paid)
    seen = _unnumbered(job, local_day(now), paid)
    return _write(this, job, seen, None) if seen.lines else None


def bill_again(request: BillAgainRequest, *, by: int, key: str, now: datetime) -> BillView:
    """Make a new bill for a job that is gone and whose bill was taken back.

    Raises:
        NotPossibleNow: The bike is here, nothing was done, or a bill stands.
    """
    with act("bill made", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return _seen(this.done_before.bill)
        if job_state(job).where is not Where.GONE:
            raise NotPossibleNow(
                worded("{tag} is here: its bill is made when it is handed over.", tag=job.bike.tag)
            )
        standing = standing_bill(job)
        if standing is not None:
            raise NotPossibleNow(worded("Bill {number} stands: reverse it first.", number=standing.number))
        refuse_paid(request.paid)
        seen = _unnumbered(job, local_day(now), request.paid)
        if not seen.lines:
            raise NotPossibleNow(worded("Nothing that was agreed was done: there is nothing to pay."))
        return _seen(_write(this, job, seen, None, is_own=True))


def reverse_bill(request: ReverseRequest, *, by: int, key: str, now: datetime) -> BillView:
    """Take a bill back by a bill of its own, with its own number and every amount turned round.

    Raises:
        NotFound: No such bill.
        InputRefused: No reason.
        NotPossibleNow: It was taken back already, or takes another back itself.
    """
    with act("bill made", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(this.done_before.bill)
        old = _by_number(request.number)
        if old.reverses_id is not None or hasattr(old, "reversed_by"):
            raise NotPossibleNow(
                worded(
                    "Bill {old} was taken back already, or takes another one back: it stays as it is.",
                    old=old,
                )
            )
        reason = short(request.reason, "reason", worded("Why the bill is taken back"), 200, needed=True)
        seen = _turned(_seen(old), local_day(now), reason)
        return _seen(_write(this, old.job, seen, old, is_own=True))


def take_back_bill(this: Act, old: Bill, today: date, reason: str) -> None:
    """Take a bill back inside the act that undoes its handover; one that was taken back already stays so."""
    if not hasattr(old, "reversed_by"):
        _write(this, old.job, _turned(_seen(old), today, reason), old)


def bills_of(job: Job) -> tuple[BillView, ...]:
    """Return the bills of a job, in order of their numbers; of an owner who was erased without the name (`refuse_erased`)."""
    return tuple(_shown(row, job) for row in _bills().filter(job=job).order_by("year", "number"))


def bill_by_number(number: str) -> BillView:
    """Return a bill by its number.

    Raises:
        NotFound: No such bill.
    """
    return _seen(_by_number(number))


def standing_bill(job: Job) -> BillView | None:
    """Return the bill of a job that was not taken back, or None."""
    row = Bill.standing_of(job)
    return _shown(row, job) if row is not None else None


def refuse_erased(number: str, by: int) -> None:
    """Refuse to show a bill with the name of an owner who was erased: it is kept for the books, for who owns the workshop alone.

    Raises:
        NotFound: No such bill.
        NotAllowed: The owner was erased, and this person does not own the workshop.
    """
    row = _by_number(number)
    if row.job.whose.erased_at is None:
        return
    if not Person.objects.filter(pk=by, is_active=True, role=Role.OWNER).exists():
        raise NotAllowed(
            worded(
                "Bill {row} is of an owner who was erased: it is kept for the books, and the owner "
                "of the workshop opens it.",
                row=row,
            )
        )


def bills_between(first: date, last: date) -> tuple[BillView, ...]:
    """Return the bills issued from *first* to *last*, both included, in order of their numbers."""
    rows = _bills().filter(issued__gte=first, issued__lte=last).order_by("year", "number")
    return tuple(_seen(row) for row in rows)


def _unnumbered(job: Job, today: date, paid: str) -> BillView:
    """What the bill of a job says: agreed and done, at the prices that were told."""
    seen, shop = estimate(job), terms()
    done = [line for line in seen.lines if line.is_done and line.answer == "agreed"]
    before, currency = came_before(job), seen.to_pay.currency
    already = money_sum(one.came for one in before)
    return BillView(
        number="",
        job=job.pk,
        tag=job.bike.tag,
        bike_words=job.bike.words,
        issued=today,
        supplied=_supplied(job, today),
        buyer=job.whose.name,
        seller=Seller(**{name: getattr(shop, name) for name in Seller.__dataclass_fields__}),
        currency=currency,
        lines=tuple(_line(line) for line in done),
        taken_off=taken_off(seen),
        total=seen.to_pay.total,
        taxes=seen.to_pay.taxes,
        paid_before=before,
        to_pay=to_the_penny(EXACT.subtract(seen.to_pay.total, already), currency),
        paid_how=paid,
    )


def taken_off(seen: EstimateView) -> tuple[TakenOff, ...]:
    """Return what is taken off below the lines that were done: shared work once, and what the owner does not pay for."""
    done = [line for line in seen.lines if line.is_done and line.answer == "agreed"]
    taken = [TakenOff(worded("shared work, done once"), money_sum(line.money.saved for line in done))]
    taken += [
        TakenOff(f"{line_words(line)}: {line.let_off}", line.money.total) for line in done if line.let_off
    ]
    taken += [TakenOff(line.words, -line.total) for line in seen.discounts]
    return tuple(one for one in taken if one.amount)


def _supplied(job: Job, today: date) -> date:
    """The day on which the work was finished."""
    last = Event.objects.filter(job=job, kind="line done", corrected_by__isnull=True).order_by("-pk").first()
    return local_day(last.at) if last is not None else today


def _line(line: LineView) -> BillLine:
    parts = ", ".join(f"{part.count} × {part.name}" for part in line.money.parts)
    return BillLine(line.words, line.place, line.money.count, parts, line.money.price)


def _turned(old: BillView, today: date, reason: str) -> BillView:
    """A bill with every amount turned round; what was paid is not turned, it is a note of its own."""
    return replace(
        old,
        number="",
        issued=today,
        lines=tuple(replace(line, price=-line.price) for line in old.lines),
        taken_off=tuple(replace(one, amount=-one.amount) for one in old.taken_off),
        total=-old.total,
        taxes=tuple(TaxAtRate(row.rate, -row.gross, -row.net, -row.tax) for row in old.taxes),
        paid_before=(),
        to_pay=-old.total,
        paid_how=NOT_YET,
        reverses=old.number,
        reason=reason,
    )


def _write(this: Act, job: Job, seen: BillView, reverses: Bill | None, *, is_own: bool = False) -> Bill:
    """Take the next number of the year and write the bill; whoever asks at the same time waits for this act to end."""
    Workshop.objects.select_for_update().get(pk=terms().pk)
    year = seen.issued.year
    last = Bill.objects.filter(year=year).aggregate(last=Max("number"))["last"] or 0
    seen = replace(seen, number=f"{year}-{last + 1:04d}")
    told = {
        "number": seen.number,
        "total": str(seen.total),
        "currency": seen.currency,
        "reverses": seen.reverses,
        "reason": seen.reason,
    }
    if is_own:
        this.said = told
        event = this.write(job=job)
    else:
        event = this.also("bill made", "bill", job=job, said=told)
    kept = as_json(seen)
    del kept["buyer"]
    row = Bill.objects.create(
        event=event,
        job=job,
        year=year,
        number=last + 1,
        reverses=reverses,
        issued=seen.issued,
        supplied=seen.supplied,
        said=kept,
    )
    BillBuyer.objects.create(bill=row, name=seen.buyer)
    return row


def _bills() -> QuerySet[Bill]:
    """Bills, each with its buyer's name."""
    return Bill.objects.select_related("bought_by")


def _seen(row: Bill) -> BillView:
    return from_plain(BillView, {**row.said, "buyer": row.bought_by.name})


def _shown(row: Bill, job: Job) -> BillView:
    seen = _seen(row)
    return seen if job.whose.erased_at is None else replace(seen, buyer="")


def _by_number(number: str) -> Bill:
    year, _, running = number.strip().partition("-")
    if year.isdecimal() and running.isdecimal() and len(year) == 4 and len(running) < 9:
        row = _bills().select_related("job__bike__owner").filter(year=int(year), number=int(running)).first()
        if row is not None:
            return row
    raise NotFound(
        worded('There is no bill "{number}". Bills are numbered like 2026-0001.', number=number[:20])
    )
