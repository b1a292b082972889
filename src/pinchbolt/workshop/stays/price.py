"""The estimate: what each line costs as it was told or would be told today, the sums, and asking the owner."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

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
    add_up,
)
from pinchbolt.engines.estimate import price as price_lines
from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Answer, Job, Line
from pinchbolt.reference.rows.work import Operation
from pinchbolt.values import Verdict
from pinchbolt.values.money import money_sum
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.money_terms import labour_on_day, tax_on_day
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays._asking import Asking, Told, askings_of, told_prices
from pinchbolt.workshop.stays._operation_here import once_here, operation_here
from pinchbolt.workshop.stays._said_together import said_together
from pinchbolt.workshop.stays.discount import discounts_on
from pinchbolt.workshop.stays.next_visit import visit_of, waiting_of
from pinchbolt.workshop.stays.say_limit import limit_of
from pinchbolt.workshop.stays.standing import Standing, open_lines, standing_of
from pinchbolt.workshop.stays.together import together_with


@dataclass(frozen=True, slots=True)
class PriceRequest:
    """The job whose estimate goes to the owner."""

    job: int


@dataclass(frozen=True, slots=True)
class LineView:
    """A line as every door shows it: what it costs, as told in asking `asking` or, where that is 0, as it would be told today.

    `answer` is 'agreed', 'declined', 'given back' (agreed, and could not be done: `reason`) or '' while the owner has
    not said. `said_by` and `answered_at` belong to the answer. `inside` says which other line does the same work;
    `let_off` why the owner does not pay for a done line.
    """

    id: int
    words: str
    operation: str
    verdict: str
    rank: int
    safety: bool
    place: str
    money: LinePriced
    asking: int
    answer: str
    answered_how: str
    answered_at: datetime | None
    said_by: str
    reason: str
    is_done: bool
    let_off: str
    finding: int | None
    finding_words: str
    waiting_reasons: tuple[str, ...]
    inside: str


@dataclass(frozen=True, slots=True)
class AskingView:
    """An asking by its number; `holds_until` is the last day of its prices."""

    number: int
    at: datetime
    by: str
    holds_until: date | None
    total: Decimal


@dataclass(frozen=True, slots=True)
class BesideView:
    """Another bike that was asked about together with this one: all of its lines, the most of what is not declined, and of what is agreed."""

    job: int
    tag: str
    words: str
    lines: tuple[LineView, ...]
    total: Decimal
    most: Decimal
    agreed_most: Decimal


@dataclass(frozen=True, slots=True)
class EstimateView:
    """All lines and their sums: of all (`priced`), of those agreed, and of those agreed, done and not let off (`to_pay`).

    `before_it_leaves` are the lines that the bike must not leave without, `can_wait` the others. `unasked` counts lines
    that are in no asking yet. `over_limit` says that the owner must be asked, by the high figure of all that is not
    declined, of the bikes in `beside` too, which were asked about together with this one.

    `discounts` are what is taken off `to_pay`; they are among its lines. `visit` is the day agreed for the next one.
    """

    job: int
    lines: tuple[LineView, ...]
    priced: PricedEstimate
    before_it_leaves: PricedEstimate
    can_wait: PricedEstimate
    agreed: PricedEstimate
    to_pay: PricedEstimate
    askings: tuple[AskingView, ...]
    unasked: int
    spend_limit: Decimal | None
    over_limit: bool
    open_answers: int
    discounts: tuple[LinePriced, ...] = ()
    beside: tuple[BesideView, ...] = ()
    visit: date | None = None

    def holds_on(self, day: date) -> bool:
        """Whether the prices of the newest asking stand on a day."""
        until = self.askings[-1].holds_until if self.askings else None
        return until is None or day <= until


def ask_owner(request: PriceRequest, *, by: int, key: str, now: datetime) -> EstimateView:
    """Ask the owner: the next number, with the price of each line not agreed yet; a price told before that holds is kept.

    Raises:
        NotPossibleNow: There is no line, each is answered, or the job is closed.
    """
    with act("priced", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return estimate(job)
        still_open(job)
        today = local_day(now)
        lines, askings = _lines_of(job), askings_of(job)
        if not lines:
            raise NotPossibleNow(worded("There is no line on the estimate: propose the work first."))
        stand = standing_of(job)
        told = told_prices(askings, stand.answers)
        asked = _to_ask(stand, lines, told, today)
        if not asked:
            raise NotPossibleNow(
                worded("Each line is answered: there is nothing to ask. Propose further work first.")
            )
        kept = {line: one for line, one in told.items() if line not in asked or one.asking.holds_on(today)}
        money = _prices(lines, kept, stand.not_to_do, today)
        this.said = {
            "job": job.pk,
            "number": len(askings) + 1,
            "holds_until": (today + timedelta(days=terms().holds_days)).isoformat(),
            "estimate": as_json(add_up([money[line] for line in asked], terms().currency)),
        }
        this.write(job=job)
        return estimate(job, today)


def _to_ask(stand: Standing, lines: Sequence[Line], told: Mapping[int, Told], today: date) -> list[int]:
    """Lines without an answer, and those declined whose price ran out: the owner may have changed their mind."""
    answers, back = stand.answers, stand.given_back
    return [
        line.pk
        for line in _worst_first(lines)
        if line.pk not in answers
        or not (answers[line.pk].agreed or line.pk in back or told[line.pk].asking.holds_on(today))
    ]


@one_look()
def estimate(job: Job, today: date | None = None) -> EstimateView:
    """Return the estimate of a job as it stands: told prices as they were told, the others as they would be told *today*."""
    seen, most = _estimate(job, today)
    others = together_with(job)
    if not others:
        return seen
    beside = tuple(_beside(one, *_estimate(one, today)) for one in others)
    limit, all_most = seen.spend_limit, money_sum([most, *(one.most for one in beside)])
    return replace(seen, beside=beside, over_limit=limit is None or all_most > limit)


def _beside(job: Job, seen: EstimateView, most: Decimal) -> BesideView:
    return BesideView(
        job.pk,
        job.bike.tag,
        job.bike.words,
        seen.lines,
        seen.priced.total,
        most,
        seen.agreed.high_total,
    )


def _estimate(job: Job, today: date | None) -> tuple[EstimateView, Decimal]:
    """The estimate of one job by itself, and the most that what is not declined may cost."""
    rows, askings, stand = _lines_of(job), askings_of(job), standing_of(job)
    told = told_prices(askings, stand.answers)
    money = _prices(rows, told, stand.not_to_do, today or timezone.localdate())
    charged = set(stand.agreed) & (stand.done.keys() - stand.let_off.keys())
    currency = askings[-1].currency if askings else terms().currency
    must = {row.pk for row in rows if Verdict(row.verdict).rank >= Verdict.BEFORE_IT_LEAVES.rank}
    ordered = _worst_first(rows)
    limit = limit_of(job)
    together = said_together([row for row in ordered if row.pk not in stand.not_to_do])

    def summed(chosen: Collection[int], *, less: bool = False) -> PricedEstimate:
        found = [money[row.pk] for row in ordered if row.pk in chosen and row.pk not in stand.borne]
        return add_up([*found, *discounts_on(job, found, currency)] if less else found, currency)

    to_pay = summed(charged, less=True)
    most = summed(money.keys() - stand.not_to_do).high_total

    seen = EstimateView(
        job=job.pk,
        lines=tuple(
            _line_seen(row, money, told.get(row.pk), stand, rows, together.get(row.pk)) for row in ordered
        ),
        priced=summed(money),
        before_it_leaves=summed(must),
        can_wait=summed(money.keys() - must),
        agreed=summed(stand.agreed, less=True),
        to_pay=to_pay,
        askings=tuple(_asking_seen(one, stand) for one in askings),
        unasked=sum(1 for row in rows if row.pk not in told),
        spend_limit=limit,
        over_limit=limit is None or most > limit,
        open_answers=sum(1 for row in rows if row.pk not in stand.answers),
        discounts=tuple(line for line in to_pay.lines if line.total < 0),
        visit=visit_of(job.bike),
    )
    return seen, most


def _lines_of(job: Job) -> list[Line]:
    """The lines, each with what was last said of its waiting; the rows themselves are never saved again."""
    rows = list(open_lines(job))
    said = waiting_of(job, rows)
    for row in rows:
        row.cost_of_waiting, row.waiting_reasons = said[row.pk].cost, list(said[row.pk].reasons)
    return rows


def _worst_first(rows: Sequence[Line]) -> list[Line]:
    return sorted(rows, key=lambda row: (-Verdict(row.verdict).rank, row.pk))


def _prices(
    rows: Sequence[Line], told: Mapping[int, Told], declined: Collection[int], today: date
) -> dict[int, LinePriced]:
    """The money of each line: as told, or as it would be told today beside the lines that were and may still be done."""
    new = [row for row in _worst_first(rows) if row.pk not in told]
    money = {row.pk: told[row.pk].money for row in rows if row.pk in told}
    if new:
        rates, shop = tax_on_day(today), terms()
        of_today = Terms(labour_on_day(today), rates.get("standard"), shop.currency, shop.country)
        before = [line_asked(row, rates) for row in rows if row.pk in told and row.pk not in declined]
        priced = price_lines([line_asked(row, rates) for row in new], of_today, _blocks(), before)
        money |= {int(line.id): line for line in priced.lines}
    return money


def work_by_the_menu(rows: Sequence[Line]) -> dict[int, Decimal]:
    """Return what the work of lines costs today where no hand set its price, by line; the rows are not saved."""
    for row in rows:
        row.own_price = None
    return {line: money.labour for line, money in _prices(rows, {}, (), timezone.localdate()).items()}


def minutes_of(rows: Sequence[Line]) -> dict[int, int]:
    """Return the usual minutes of lines that are done together, by line: what they share is done once, by the first."""
    free = Terms(Decimal(0), None, terms().currency)
    priced = price_lines([line_asked(row, {}) for row in rows], free, _blocks())
    return {int(line.id): line.minutes.usual for line in priced.lines}


def _blocks() -> dict[str, Block]:
    rows = tables().blocks.values()
    return {row.id: Block(row.id, row.words, row.minutes, row.at_place, row.source) for row in rows}


def line_asked(row: Line, rates: Mapping[str, Decimal]) -> LineToPrice:
    """Return a line as the estimate engine takes it, with the tax of its classes by *rates*."""
    operation, place = operation_here(row), place_of_line(row)
    if row.own_minutes is not None:
        return _by_hand(row, operation, place, rates)
    return LineToPrice(
        id=str(row.pk),
        words=row.words,
        operation=OperationToPrice(
            operation.id,
            operation.name,
            Minutes(*operation.minutes),
            _shares(operation, place),
            tax_percent=rates.get(operation.tax_class),
            once=Minutes(*once_here(row)),
            fixed_price=operation.fixed_price,
            by_hand=row.own_price,
        )
        if operation
        else None,
        place=place if operation and operation.at_place else "",
        count=row.count or 1,
        parts=_parts_asked(row, rates),
        verdict=Verdict(row.verdict),
        cost_of_waiting=row.cost_of_waiting,
    )


def _by_hand(row: Line, operation: Operation | None, place: str, rates: Mapping[str, Decimal]) -> LineToPrice:
    """A line whose minutes a hand set, however often it is done: they share nothing, since nobody said what is in them."""
    own = Minutes(*(row.own_minutes or 0,) * 3)
    tax = rates.get(operation.tax_class if operation else "standard")
    name, id = (operation.name, operation.id) if operation else (row.words, "own")
    # All of them are said once: a further time takes none of its own.
    labour = OperationToPrice(id, name, own, (), worded("set by hand"), tax, once=own, by_hand=row.own_price)
    parts, times = _parts_asked(row, rates), row.count or 1
    return LineToPrice(
        str(row.pk), row.words, labour, parts, Verdict(row.verdict), row.cost_of_waiting, place, times
    )


def _parts_asked(row: Line, rates: Mapping[str, Decimal]) -> tuple[PartPrice, ...]:
    return tuple(
        PartPrice(
            part["name"],
            Decimal(part["each"]),
            int(part["count"]),
            rates.get(part.get("tax_class", "standard")),
        )
        for part in row.parts
    )


def _shares(operation: Operation, place: str) -> tuple[str, ...]:
    """The blocks that a line may spare others: the wheel of its own end, and none where nobody said which."""
    if end_of(place):
        return operation.blocks_at(end_of(place))
    return tuple(name for name in operation.shares if "{end}" not in name)


def _line_seen(
    row: Line,
    money: Mapping[int, LinePriced],
    told: Told | None,
    stand: Standing,
    rows: Sequence[Line],
    together: tuple[str, ...] | None,
) -> LineView:
    said, back = stand.answers.get(row.pk), stand.given_back.get(row.pk)
    return LineView(
        id=row.pk,
        words=row.words,
        operation=row.operation,
        verdict=row.verdict,
        rank=Verdict(row.verdict).rank,
        safety=row.safety,
        place=place_of_line(row),
        money=money[row.pk],
        asking=told.asking.number if told else 0,
        answer="given back" if back else _answer_words(said),
        answered_how=said.how if said else "",
        answered_at=said.event.at if said else None,
        said_by=(said.said_by or "") if said else "",
        reason=back.reason if back else "",
        is_done=row.pk in stand.done,
        let_off=stand.let_off[row.pk].reason if row.pk in stand.let_off else "",
        finding=row.finding_id,
        finding_words=row.finding.words if row.finding else "",
        waiting_reasons=together if together is not None else tuple(row.waiting_reasons),
        inside=_inside(row, rows),
    )


def line_words(line: LineView) -> str:
    """Return a line with its place and count, so that two ends read as two: 2 × spoke replaced, front."""
    times = f"{line.money.count} × " if line.money.count > 1 else ""
    return f"{times}{at_its_place(line.words, line.place)}"


def at_its_place(words: str, place: str | None) -> str:
    """Return a line's words with its place, unless they name it."""
    return f"{words}, {place}" if place and place not in words else words


def _answer_words(said: Answer | None) -> str:
    return "" if said is None else "agreed" if said.agreed else "declined"


def _inside(row: Line, rows: Sequence[Line]) -> str:
    """Which earlier line brings the same kinds of part at the same place already: twice would be too much."""
    own = _brings(row)
    for other in rows:
        both = own & _brings(other)
        if both and other.pk < row.pk and place_of_line(other) in ("", place_of_line(row)):
            return worded("{both}: also in “{words}”.", both=", ".join(sorted(both)), words=other.words)
    return ""


def _brings(row: Line) -> frozenset[str]:
    operation = tables().operations.get(row.operation)
    return frozenset(part.partition(" x ")[0] for part in operation.parts) if operation else frozenset()


def _asking_seen(one: Asking, stand: Standing) -> AskingView:
    total = add_up(
        [money for line, money in one.lines.items() if line not in stand.borne], one.currency
    ).total
    return AskingView(one.number, one.at, one.by, one.holds_until, total)
