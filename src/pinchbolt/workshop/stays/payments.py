"""Notes of money that came or went: a deposit and its return, what was paid and what was paid back. No till, no receipt of one."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import UNDONE, Bill, Event, Job
from pinchbolt.values.money import money_sum
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop, terms
from pinchbolt.workshop.acts.money_terms import in_coins
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import local_day

NOT_YET = "not yet"
PAID_BY = ("cash", "card", "transfer", "other", NOT_YET)
DEPOSIT, RETURNED, PAID, BACK = "deposit", "deposit returned", "paid", "paid back"
NOTED = (DEPOSIT, RETURNED, PAID, BACK)
WENT_OUT = (RETURNED, BACK)


@dataclass(frozen=True, slots=True)
class PaymentView:
    """A note of money that came or went: no till. `note` is its number, 0 where it came with a bill."""

    what: str
    amount: Decimal
    how: str
    day: date
    note: int = 0

    @property
    def came(self) -> Decimal:
        """What the shop has of it: below 0 where it went out."""
        return -self.amount if self.what in WENT_OUT else self.amount


@dataclass(frozen=True, slots=True)
class PaymentRequest:
    """A note that money came or went: what (deposit, deposit returned, paid, paid back), how much, how."""

    job: int
    what: str
    amount: Decimal
    how: str


@dataclass(frozen=True, slots=True)
class PaymentBackRequest:
    """A note that was wrong, by its number."""

    job: int
    payment: int


def note_payment(request: PaymentRequest, *, by: int, key: str, now: datetime) -> tuple[PaymentView, ...]:
    """Note a deposit or a payment; it changes no bill and is no receipt of a till.

    Raises:
        InputRefused: What, how or how much is out of sense, or more would go out than came in.
        NotPossibleNow: A deposit for a job that is over.
    """
    with act("payment noted", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            _refuse_unsound(request)
            if request.what == DEPOSIT and job_state(job).ended:
                raise NotPossibleNow(
                    worded(
                        "This job of {tag} is over: a deposit is for work to come. Note it as paid.",
                        tag=job.bike.tag,
                    )
                )
            _refuse_more_than_came(request, came_before(job))
            this.write(job=job)
        return payments_of(job)


def take_back_payment(
    request: PaymentBackRequest, *, by: int, key: str, now: datetime
) -> tuple[PaymentView, ...]:
    """Take back a note that was wrong; one that stands on a bill goes only with the bill.

    Raises:
        NotFound: This job has no such note.
        NotPossibleNow: It was taken back already, stands on a bill, or what went out since was more than the rest.
    """
    with act("payment taken back", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        note = Event.objects.filter(pk=request.payment, job=job, kind="payment noted").first()
        if note is None:
            raise NotFound(
                worded(
                    "There is no note {payment} of money at this job. Reload the page.",
                    payment=request.payment,
                )
            )
        if not this.repeated:
            bill = Bill.standing_of(job)
            if bill is not None and bill.event_id > note.pk:
                raise NotPossibleNow(
                    worded(
                        "This note stands on bill {bill}: reverse the bill first, then take the note back.",
                        bill=bill,
                    )
                )
            left = [one for one in came_before(job) if one.note != note.pk]
            if money_sum(one.came for one in left) < 0:
                raise NotPossibleNow(
                    worded(
                        "More went out since than would be left: take the note of what went out back first."
                    )
                )
            this.write(job=job, corrects=note)
        return payments_of(job)


def payments_of(job: Job) -> tuple[PaymentView, ...]:
    """Return the notes of money of a job that stand, in order."""
    events = Event.objects.filter(job=job, kind="payment noted", corrected_by__isnull=True).order_by("pk")
    return tuple(
        PaymentView(one.said["what"], Decimal(one.said["amount"]), one.said["how"], local_day(one.at), one.pk)
        for one in events
    )


def came_before(job: Job) -> tuple[PaymentView, ...]:
    """Return all money that came and went: the notes, and what was paid with a bill, reversed since or not.

    What was said with a handover that was undone did not come: the tap that said so was taken back whole (`not_counted`).
    """
    counted, _ = _with_bills(job)
    paid_with = [(row.event_id, _paid_with(row)) for row in counted]
    all_of_it = sorted([*((one.note, one) for one in payments_of(job)), *paid_with], key=lambda one: one[0])
    return tuple(one for _, one in all_of_it if one.amount)


def not_counted(job: Job) -> tuple[PaymentView, ...]:
    """Return what was said paid with a handover that was undone, until a note since then says that it came."""
    _, undone = _with_bills(job)
    left = list(payments_of(job))
    found = []
    for row in undone:
        said = _paid_with(row)
        note = next((one for one in left if one.note > row.event_id and one.amount == said.amount), None)
        if note is not None:
            left.remove(note)
        elif said.amount:
            found.append(said)
    return tuple(found)


def _with_bills(job: Job) -> tuple[list[Bill], list[Bill]]:
    """Bills that take none back: those whose payment counts, and those that came with a handover that was undone."""
    undone = Event.objects.filter(job=job, kind="handed over", corrected_by__kind=UNDONE)
    # What an act brings along bears its mark with a stroke behind it.
    acts = tuple(f"{key}/" for key in undone.values_list("key", flat=True))
    rows = list(Bill.objects.filter(job=job, reverses=None).select_related("event").order_by("pk"))
    gone = [row for row in rows if row.event.key.startswith(acts)]
    return [row for row in rows if row not in gone], gone


def _paid_with(bill: Bill) -> PaymentView:
    """What was paid when a bill was made; a bill below what had come before gives the rest back."""
    said = bill.said
    amount = Decimal(said["to_pay"]) if said["paid_how"] != NOT_YET else Decimal(0)
    return PaymentView(BACK if amount < 0 else PAID, abs(amount), said["paid_how"], bill.issued)


def refuse_paid(how: str, allowed: tuple[str, ...] = PAID_BY) -> None:
    """Refuse a way of paying that is none of those allowed."""
    if how not in allowed:
        _refuse(
            "paid",
            worded('It was paid "{how}": {allowed}. Choose one.', how=how[:20], allowed=", ".join(allowed)),
        )


def _refuse_unsound(request: PaymentRequest) -> None:
    if request.what not in NOTED:
        _refuse(
            "what",
            worded(
                'The note is "{what}": {noted}. Choose one.', what=request.what[:20], noted=", ".join(NOTED)
            ),
        )
    if request.how not in PAID_BY[:-1]:
        _refuse(
            "how",
            worded(
                'It came or went by "{how}": {paid_by}. Choose one.',
                how=request.how[:20],
                paid_by=", ".join(PAID_BY[:-1]),
            ),
        )
    amount, currency = request.amount, terms().currency
    if not (in_coins(amount, currency) and 0 < amount <= 1_000_000):
        _refuse(
            "amount",
            worded(
                "The amount is {amount}: above 0, in coins of {currency}. Type it again.",
                amount=str(amount)[:20],
                currency=currency,
            ),
        )


def _refuse_more_than_came(request: PaymentRequest, before: tuple[PaymentView, ...]) -> None:
    """Nothing goes out that did not come in: a deposit's return out of deposits, the rest out of all of it."""
    if request.what not in WENT_OUT:
        return
    of = [one for one in before if one.what in (DEPOSIT, RETURNED)] if request.what == RETURNED else before
    there = money_sum(one.came for one in of)
    if request.amount > there:
        what = worded("was left as deposit") if request.what == RETURNED else worded("came in")
        _refuse(
            "amount",
            worded(
                "{amount} can't go back: {there} {what} at this job. Type it again.",
                amount=money_of_shop(request.amount),
                there=money_of_shop(there),
                what=what,
            ),
        )


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, {field: sentence})
