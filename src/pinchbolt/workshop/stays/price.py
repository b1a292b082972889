"""The estimate: what the lines cost together, now and if left, and asking the owner."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.engines.build import end_of
from pinchbolt.engines.estimate import (
    Block,
    LinePriced,
    LineToPrice,
    Minutes,
    OperationToPrice,
    PartPrice,
    PricedEstimate,
    Terms,
)
from pinchbolt.engines.estimate import agreed_only as price_agreed
from pinchbolt.engines.estimate import price as price_lines
from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Answer, Job, Line
from pinchbolt.reference.rows.work import Operation
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.opened_joints import place_of
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays._operation_here import operation_here
from pinchbolt.workshop.stays.propose import open_lines


@dataclass(frozen=True, slots=True)
class PriceRequest:
    """The job whose estimate goes to the owner."""

    job: int


@dataclass(frozen=True, slots=True)
class LineView:
    """A line as every door shows it. `answer` is 'agreed', 'declined' or '' while the owner has not said."""

    id: int
    words: str
    operation: str
    verdict: str
    rank: int
    safety: bool
    money: LinePriced
    answer: str
    answered_how: str
    finding: int | None
    finding_words: str
    waiting_reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EstimateView:
    """The whole estimate, all lines and, once answered, those agreed. `over_limit` says that the owner must be asked."""

    job: int
    lines: tuple[LineView, ...]
    priced: PricedEstimate
    agreed: PricedEstimate
    spend_limit: Decimal | None
    over_limit: bool
    open_answers: int


def ask_owner(request: PriceRequest, *, by: int, key: str, now: datetime) -> EstimateView:
    """Give the estimate to the owner: keeps what was asked, and the bike waits for the answer.

    Raises:
        NotPossibleNow: There is no line, or the job is closed.
    """
    with act("priced", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return estimate(job)
        still_open(job)
        seen = estimate(job)
        if not seen.lines:
            raise NotPossibleNow("There is no line on the estimate: propose the work first.")
        this.said = {"job": job.pk, "estimate": as_json(seen.priced)}
        this.write(job=job)
        return seen


def estimate(job: Job) -> EstimateView:
    """Return the estimate of a job as it stands."""
    rows = list(open_lines(job))
    rows.sort(key=lambda row: (-Verdict(row.verdict).rank, row.pk))
    asked = [line_asked(row) for row in rows]
    shop = terms()
    with_tax = Terms(shop.labour_an_hour, shop.tax_percent, shop.currency)
    blocks = {
        row.id: Block(row.id, row.words, row.minutes, row.at_place, row.source)
        for row in tables().blocks.values()
    }
    priced = price_lines(asked, with_tax, blocks)
    answers = answers_of(job)
    agreed_ids = [str(row.pk) for row in rows if row.pk in answers and answers[row.pk].agreed]
    agreed = price_agreed(asked, with_tax, blocks, agreed_ids)
    money = {line.id: line for line in priced.lines}
    limit = job.spend_limit
    return EstimateView(
        job=job.pk,
        lines=tuple(_line_seen(row, money[str(row.pk)], answers.get(row.pk)) for row in rows),
        priced=priced,
        agreed=agreed,
        spend_limit=limit,
        over_limit=limit is None or priced.high_total > limit,
        open_answers=sum(1 for row in rows if row.pk not in answers),
    )


@once_a_look
def answers_of(job: Job) -> dict[int, Answer]:
    """Return the owner's standing answer per line."""
    rows = Answer.objects.filter(line__job=job, event__corrected_by__isnull=True).order_by("pk")
    return {row.line_id: row for row in rows}


def line_asked(row: Line) -> LineToPrice:
    """Return a line as the estimate engine takes it."""
    operation, place = operation_here(row), place_of(row.finding)
    return LineToPrice(
        id=str(row.pk),
        words=row.words,
        operation=OperationToPrice(
            operation.id, operation.name, Minutes(*operation.minutes), _shares(operation, place)
        )
        if operation
        else None,
        place=place if operation and operation.at_place else "",
        parts=tuple(PartPrice(part["name"], Decimal(part["each"]), int(part["count"])) for part in row.parts),
        verdict=Verdict(row.verdict),
        cost_of_waiting=row.cost_of_waiting,
    )


def _shares(operation: Operation, place: str) -> tuple[str, ...]:
    """The blocks that a line may spare others: the wheel of its own end, and none where nobody said which."""
    if end_of(place):
        return operation.blocks_at(end_of(place))
    return tuple(name for name in operation.shares if "{end}" not in name)


def _line_seen(row: Line, money: LinePriced, answer: Answer | None) -> LineView:
    return LineView(
        id=row.pk,
        words=row.words,
        operation=row.operation,
        verdict=row.verdict,
        rank=Verdict(row.verdict).rank,
        safety=row.safety,
        money=money,
        answer="" if answer is None else "agreed" if answer.agreed else "declined",
        answered_how=answer.how if answer else "",
        finding=row.finding_id,
        finding_words=row.finding.words if row.finding else "",
        waiting_reasons=tuple(row.waiting_reasons),
    )
