"""The money of one job at a glance: what is owed, what came, what is open, its bills."""

from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.records.models import Job
from pinchbolt.values.money import EXACT, money_sum, to_the_penny
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.leaving.bill import BillView, bills_of, standing_bill
from pinchbolt.workshop.stays.payments import DEPOSIT, RETURNED, PaymentView, came_before, not_counted
from pinchbolt.workshop.stays.price import estimate


@dataclass(frozen=True, slots=True)
class JobMoneyView:
    """What is owed (the bill that stands, else what is agreed and done), what came of it, and what is still open.

    `still_open` below 0 is to go back to the owner. `agreed` is what all agreed work comes to; `deposit_left` what is held
    as deposit; `not_counted` was said paid with a handover that was undone. `can_bill` says that the bike is gone, work was
    done, and no bill stands.
    """

    job: int
    currency: str
    agreed: Decimal
    owed: Decimal
    came: Decimal
    still_open: Decimal
    deposit_left: Decimal
    payments: tuple[PaymentView, ...]
    bills: tuple[BillView, ...]
    not_counted: tuple[PaymentView, ...]
    standing: BillView | None
    is_over: bool
    can_bill: bool


def job_money(job: Job) -> JobMoneyView:
    """Return the money of a job as it stands."""
    seen, standing, notes = estimate(job), standing_bill(job), came_before(job)
    state = job_state(job)
    currency = standing.currency if standing else seen.to_pay.currency

    def coins(amount: Decimal) -> Decimal:
        return to_the_penny(amount, currency)

    owed = coins(standing.total if standing else seen.to_pay.total)
    came = coins(money_sum(one.came for one in notes))
    deposits = (one.came for one in notes if one.what in (DEPOSIT, RETURNED))
    return JobMoneyView(
        job=job.pk,
        currency=currency,
        agreed=seen.agreed.total,
        owed=owed,
        came=came,
        still_open=EXACT.subtract(owed, came),
        deposit_left=coins(money_sum(deposits)),
        payments=notes,
        bills=bills_of(job),
        not_counted=not_counted(job),
        standing=standing,
        is_over=state.ended,
        can_bill=state.where is Where.GONE and standing is None and bool(seen.to_pay.lines),
    )
