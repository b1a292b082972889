"""An order goes out: what it holds is on order from then on, for the jobs that lack it first and for the bins."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import BinPart, Event, Job, Line, Supplier, SupplierPart, WantedMove, WantedPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.ordering._needs import NeedView, needs
from pinchbolt.workshop.parts.sold_by import bin_by_number
from pinchbolt.workshop.parts.wanted import ORDERED, set_aside_in, wanted_by_id

_MOST_LINES = 500


@dataclass(frozen=True, slots=True)
class OrderedLine:
    """So many of a number of the bins."""

    number: str
    count: int


@dataclass(frozen=True, slots=True)
class SendOrderRequest:
    """An order that goes out to a supplier; `due` None: by the days that they usually take."""

    supplier: str
    lines: tuple[OrderedLine, ...]
    due: date | None = None


@dataclass(frozen=True, slots=True)
class OrderSent:
    """What is on order now, in words, and when it should be here."""

    supplier: str
    due: date
    lines: tuple[str, ...]


def send_order(request: SendOrderRequest, *, by: int, key: str, now: datetime) -> OrderSent:
    """Write down that an order went out.

    Raises:
        InputRefused: No line, a number twice, a count or a day out of sense, or a part that this supplier does not sell.
        NotFound: No such supplier, or no such number in the bins.
        NotPossibleNow: This very order went out today.
    """
    with act("order sent", by=by, key=key, now=now, request=request) as this:
        supplier = Supplier.objects.filter(
            name=short(request.supplier, "supplier", "The supplier", 120)
        ).first()
        if supplier is None:
            raise NotFound(
                worded(
                    'There is no supplier "{supplier}". Write the supplier down first.',
                    supplier=request.supplier[:40],
                )
            )
        today = local_day(now)
        due = request.due or today + timedelta(days=3 if supplier.days is None else supplier.days)
        if not 0 <= (due - today).days <= 400:
            sentence = worded(
                "{due:%d %b %Y} is gone by, or more than a year ahead. Choose another day.", due=due
            )
            raise InputRefused(sentence, {"due": sentence})
        if not 1 <= len(request.lines) <= _MOST_LINES:
            sentence = worded(
                "The order has {lines} lines: 1 to {most_lines}. Choose what to order.",
                lines=len(request.lines),
                most_lines=_MOST_LINES,
            )
            raise InputRefused(sentence, {"lines": sentence})
        if this.repeated:
            return OrderSent(supplier.name, due, ())
        _each_once(request.lines)
        _not_out_yet(supplier, request.lines, now)
        open_ones = needs(now)
        this.write()
        told = [
            _ordered(
                this,
                supplier,
                due,
                one,
                [need for need in open_ones if need.bin_number == one.number.strip()],
            )
            for one in request.lines
        ]
        return OrderSent(supplier.name, due, tuple(told))


def _each_once(lines: Sequence[OrderedLine]) -> None:
    told = [one.number.strip() for one in lines]
    twice = next((one for one in told if told.count(one) > 1), None)
    if twice is not None:
        sentence = worded(
            "{twice} stands twice in this order. Put its pieces into one line.", twice=twice[:40]
        )
        raise InputRefused(sentence, {"lines": sentence})


def _not_out_yet(supplier: Supplier, lines: Sequence[OrderedLine], now: datetime) -> None:
    """Two people have the same list before them: what went out by one tap does not go out by the other's again."""
    same = {(one.number.strip(), one.count) for one in lines}
    before = Event.objects.filter(
        kind="order sent", at__gte=now - timedelta(days=1), corrected_by__isnull=True
    )
    for event in before.select_related("by"):
        out = {(str(one["number"]).strip(), one["count"]) for one in event.said["lines"]}
        name = str(event.said["supplier"]).strip()
        if name == supplier.name and out == same and local_day(event.at) == local_day(now):
            raise NotPossibleNow(
                worded(
                    "This very order went out to {name} today by {by_name}: it counts once, and it is on "
                    "order. Reload the page. If it is a second one, change a count.",
                    name=supplier.name,
                    by_name=event.by.name,
                )
            )


def _ordered(this: Act, supplier: Supplier, due: date, line: OrderedLine, wanting: Sequence[NeedView]) -> str:
    """One line: those who lack it, the soonest promised first, then the bins."""
    part = bin_by_number(line.number)
    left = count = int(number(line.count, "count", worded("The count"), 1, 9999, "pieces"))
    sold = SupplierPart.objects.filter(bin_part=part, supplier=supplier).first()
    if sold is None:
        sentence = worded(
            "{number} ({words}) is not sold by {name}. Write it down, or order it elsewhere.",
            number=part.number,
            words=part.words,
            name=supplier.name,
        )
        raise InputRefused(sentence, {"number": sentence})
    said = []
    free = part.count - sum(one.count for one in set_aside_in([part.pk]).get(part.pk, ()))
    for need in sorted(wanting, key=lambda one: (one.until is None, one.until or date.max)):
        if need.wanted is None and need.count <= free:
            # It lies there: a job does not wait for the van with its part in the bin.
            free -= need.count
            continue
        if need.count > left:
            continue
        row = wanted_by_id(need.wanted) if need.wanted is not None else _wanted(this, part, need)
        _move(this, row, sold, due)
        left -= need.count
        said.append(need.tag or worded("the bins"))
    if left:
        row = _wanted(this, part, None, left)
        _move(this, row, sold, due)
        said.append(worded("the bins"))
    return worded(
        "{count} × {words} for {fromkeys}",
        count=count,
        words=part.words,
        fromkeys=", ".join(dict.fromkeys(said)),
    )


def _wanted(this: Act, part: BinPart, need: NeedView | None, count: int = 0) -> WantedPart:
    """A part that is wanted from here on: for the line of a job, or for the bins."""
    job = Job.objects.get(pk=need.job) if need is not None and need.job is not None else None
    line = Line.objects.get(pk=need.line) if need is not None and need.line is not None else None
    name = f"want-{part.pk}-{need.line if need else 'bins'}-{need.part if need else 0}"
    event = this.also("part wanted", name, job=job, said={"number": part.number})
    return WantedPart.objects.create(
        event=event,
        job=job,
        line=line,
        part=need.part if need else None,
        words=need.words if need else part.words,
        count=need.count if need else count,
        bin_part=part,
    )


def _move(this: Act, row: WantedPart, sold: SupplierPart, due: date) -> None:
    event = this.also("part ordered", f"ordered-{row.pk}", job=row.job, said={"wanted": row.pk})
    WantedMove.objects.create(
        event=event, wanted=row, state=ORDERED, supplier=sold.supplier, price=sold.each, due=due
    )
