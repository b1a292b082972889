"""Giving a discount or goodwill: its reason, and how much of the work may be given away, by whom."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bill, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop, terms
from pinchbolt.workshop.acts.money_terms import in_coins
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.stays._bound import refuse_beyond_bound, work_of
from pinchbolt.workshop.stays.discount import DISCOUNT, GOODWILL, given_on
from pinchbolt.workshop.stays.price import estimate


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
        InputRefused: No reason, neither percent nor amount or both, out of sense, or more than the work costs.
        NotPossibleNow: The bike is gone: its bill is taken back first; or it is more than this person may give.
    """
    with act("discount given", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        if job_state(job).ended and Bill.standing_of(job) is not None:
            raise NotPossibleNow(
                worded("{tag} is gone: take its bill back first, then make another.", tag=job.bike.tag)
            )
        if request.kind not in (DISCOUNT, GOODWILL):
            sentence = worded(
                'It is "{kind}": {discount} or {goodwill}. Choose one.',
                kind=request.kind[:20],
                discount=DISCOUNT,
                goodwill=GOODWILL,
            )
            raise InputRefused(sentence, {"kind": sentence})
        short(request.reason, "reason", "Why", 120, needed=True)
        _refuse_sums(request)
        off = _refuse_above_whole(request, job)
        refuse_beyond_bound(this.person, job, off, request.kind, request.percent)
        # One of a kind counts: said anew, the newest word is meant and the old one is kept.
        before = next((one for one in given_on(job) if one.said.get("kind") == request.kind), None)
        this.write(job=job, corrects=before)


def _refuse_sums(request: DiscountRequest) -> None:
    currency = terms().currency
    if (request.percent is None) == (request.amount is None):
        sentence = worded(
            "Say either how many percent or how much money is taken off, not both and not neither."
        )
        raise InputRefused(sentence, {"percent": sentence})
    if request.percent is not None and not (request.percent.is_finite() and 0 < request.percent <= 100):
        sentence = worded(
            "{percent} % is taken off: above 0, to 100. Type it again.", percent=str(request.percent)[:10]
        )
        raise InputRefused(sentence, {"percent": sentence})
    if request.amount is not None and not (
        in_coins(request.amount, currency) and 0 < request.amount <= 100_000
    ):
        sentence = worded(
            "{amount} is taken off: above 0, in coins of {currency}. Type it again.",
            amount=str(request.amount)[:20],
            currency=currency,
        )
        raise InputRefused(sentence, {"amount": sentence})


def _refuse_above_whole(request: DiscountRequest, job: Job) -> Decimal:
    """What would come off; never more than the work costs."""
    seen = estimate(job)
    whole = work_of(seen)
    if request.amount is not None and request.amount > whole:
        sentence = worded(
            "The work of this job is {whole}: at most that is taken off. Type it again.",
            whole=money_of_shop(whole),
        )
        raise InputRefused(sentence, {"amount": sentence})
    return request.amount if request.amount is not None else whole * (request.percent or 0) / 100
