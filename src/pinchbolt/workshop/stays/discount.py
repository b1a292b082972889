"""Money taken off a job: a discount in percent or money, or goodwill, always with a reason; the full price stays on the papers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.engines.estimate import LinePriced
from pinchbolt.engines.estimate import take_off as taken_off_lines
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bill, Event, Job
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.money_terms import in_coins
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import short

DISCOUNT, GOODWILL = "discount", "goodwill"
REASONS = ("regular", "club", "mistake of ours", "several bikes")
PERCENTS = (5, 10, 15)


@dataclass(frozen=True, slots=True)
class DiscountRequest:
    """Discount or goodwill on all that is charged of a job: percent, or an amount, and why."""

    job: int
    kind: str
    reason: str
    percent: Decimal | None = None
    amount: Decimal | None = None


def give_discount(request: DiscountRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that money is taken off, in the place of an earlier word of its kind; it lowers what is to pay, so nobody is asked.

    Raises:
        InputRefused: No reason, neither percent nor amount or both, out of sense, or more than the agreed work costs.
        NotPossibleNow: The bike is gone: its bill is taken back first.
    """
    with act("discount given", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        if job_state(job).ended and Bill.standing_of(job) is not None:
            raise NotPossibleNow(f"{job.bike.tag} is gone: take its bill back first, then make another.")
        if request.kind not in (DISCOUNT, GOODWILL):
            sentence = f'It is "{request.kind[:20]}": {DISCOUNT} or {GOODWILL}. Choose one.'
            raise InputRefused(sentence, {"kind": sentence})
        short(request.reason, "reason", "Why", 120, needed=True)
        _refuse_sums(request)
        # One of a kind counts: said anew, the newest word is meant and the old one is kept.
        before = next((one for one in _given(job) if one.said.get("kind") == request.kind), None)
        this.write(job=job, corrects=before)


def _refuse_sums(request: DiscountRequest) -> None:
    currency = terms().currency
    if (request.percent is None) == (request.amount is None):
        sentence = "Say either how many percent or how much money is taken off, not both and not neither."
        raise InputRefused(sentence, {"percent": sentence})
    if request.percent is not None and not (request.percent.is_finite() and 0 < request.percent <= 100):
        sentence = f"{str(request.percent)[:10]} % is taken off: above 0, to 100. Type it again."
        raise InputRefused(sentence, {"percent": sentence})
    if request.amount is not None and not (
        in_coins(request.amount, currency) and 0 < request.amount <= 100_000
    ):
        sentence = f"{str(request.amount)[:20]} is taken off: above 0, in coins of {currency}. Type it again."
        raise InputRefused(sentence, {"amount": sentence})


@once_a_look
def _given(job: Job) -> tuple[Event, ...]:
    return tuple(
        Event.objects.filter(job=job, kind="discount given", corrected_by__isnull=True).order_by("pk")
    )


def discounts_on(job: Job, lines: Sequence[LinePriced], currency: str) -> tuple[LinePriced, ...]:
    """Return what is taken off these lines of a job, each as a line below 0; all of them never take off more than the whole."""
    found: list[LinePriced] = []
    for event in _given(job):
        said = event.said
        percent, amount = said.get("percent"), said.get("amount")
        share = f" {Decimal(percent).normalize():f} %" if percent is not None else ""
        found.append(
            taken_off_lines(
                f"discount-{event.pk}",
                f"{said['kind']}{share}, {said['reason']}",
                [*lines, *found],
                currency,
                amount=Decimal(amount) if amount is not None else None,
                percent=Decimal(percent) if percent is not None else Decimal(0),
            )
        )
    return tuple(one for one in found if one.total)
