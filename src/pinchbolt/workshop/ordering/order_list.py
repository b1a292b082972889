"""The order list of tonight: what agreed work lacks, what known bikes and those who walk in may ask for, of whom, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q

from pinchbolt.engines.stock import (
    OrderPlan,
    PartToStock,
    SoldBy,
    SupplierTerms,
    of_known_bikes,
    of_walk_ins,
    order_tonight,
    together,
)
from pinchbolt.records.models import BinMove, BinPart, Supplier, SupplierPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.came_up.job_parts import ShortPart, short_for_tomorrow
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.ordering._asked_for import AskedFor, asked_for
from pinchbolt.workshop.ordering._instead import InsteadView, instead_of, is_sold
from pinchbolt.workshop.ordering._known_bikes import BikePart, bins_by_kind, parts_of_known_bikes, which_row
from pinchbolt.workshop.ordering._needs import NeedView, needs
from pinchbolt.workshop.parts.wanted import on_order_of, set_aside_in

# Days between two evenings on which it is ordered; a shop of two orders about once a week. Common practice, no source.
REVIEW_DAYS = 7
# What one that lies there costs a year, as a share of its price: money, room, and what is never sold. Common practice, no source.
HOLDING = 0.30
# Hours of labour that a lacking part costs: the bike off the stand and on again, a call. Common practice, no source.
SHORT_HOURS = 0.25
_USUAL_DAYS = 3


@dataclass(frozen=True, slots=True)
class OrderLineView:
    """A line of an order: what, how many, at what price; why: for which jobs, for how many it may be asked, what lies there."""

    number: str
    words: str
    supplier: str
    supplier_number: str
    packs: int
    count: int
    each: Decimal
    cost: Decimal
    why: tuple[str, ...]
    needs: tuple[NeedView, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class PartsOrderView:
    """An order to one supplier: its lines, goods, carriage, what it comes to, and when it should be here."""

    supplier: str
    how: str
    our_number: str
    phone: str
    lines: tuple[OrderLineView, ...]
    goods: Decimal
    carriage: Decimal
    total: Decimal
    due: date


@dataclass(frozen=True, slots=True)
class OrderListView:
    """Tonight's orders; what is short for tomorrow; what nobody can tell, with what to do; how sure the plan is.

    `on_no_order`: what agreed work lacks and no order of tonight holds, since its carriage or the least sum is not worth it.
    """

    day: date
    orders: tuple[PartsOrderView, ...]
    short: tuple[ShortPart, ...]
    on_no_order: tuple[str, ...]
    cannot_tell: tuple[str, ...]
    instead: tuple[InsteadView, ...]
    words: str
    gap: float
    proven: bool
    currency: str

    @property
    def no_order(self) -> str:
        """What is said where there is no order: a part that is missing comes before an evening with nothing to do."""
        if self.short or self.on_no_order or self.cannot_tell or self.instead:
            return worded("No order can be sent yet: look at these parts first.")
        return worded("Nothing to order tonight.")


@dataclass(slots=True)
class _Stocked:
    """One row of the bins with all that speaks for ordering it; `is_kept`: it lay here once, so those who walk in may ask for it."""

    row: BinPart
    is_kept: bool = False
    needs: list[NeedView] = field(default_factory=list)
    bikes: list[BikePart] = field(default_factory=list)
    walked: AskedFor = field(default_factory=AskedFor)
    aside: int = 0
    coming: int = 0

    @property
    def sure(self) -> int:
        """How many are wanted for certain."""
        return sum(one.count for one in self.needs)

    @property
    def have(self) -> int:
        """How many lie there that nobody's job holds, or are on their way."""
        return max(0, self.row.count) - self.aside + self.coming

    @property
    def by_mark(self) -> int:
        """How many beyond what is sure the marks ask for, as somebody set them: none while it stands above the low one."""
        low = self.row.low_mark
        if low is None or self.have - self.sure > low:
            return 0
        return low + 1 if self.row.order_up_to is None else self.row.order_up_to


@one_look()
def order_list(now: datetime) -> OrderListView:
    """Return what to order tonight."""
    today = local_day(now)
    sold = _sold()
    stocked, unknown = _stocked(now, sold)
    makers = {one.name: one for one in Supplier.objects.all()}
    parts = [_to_stock(one, sold[pk], makers, today) for pk, one in stocked.items() if pk in sold]
    plan = order_tonight(
        parts, [_terms(makers[name]) for name in sorted({s.supplier for p in parts for s in p.sold_by})]
    )
    nobody = [one for pk, one in stocked.items() if pk not in sold and one.sure > one.have]
    instead = tuple(found for one in nobody for found in instead_of(one.row, one.needs))
    unknown += [
        worded(
            "{words} ({number}): nobody is known who sells it. Write down who does.",
            words=one.row.words,
            number=one.row.number,
        )
        for one in nobody
    ]
    by_number = {one.row.number: (one, sold[pk]) for pk, one in stocked.items() if pk in sold}
    return OrderListView(
        today, _orders(plan, by_number, makers, today), short_for_tomorrow(now), _on_no_order(plan, by_number),
        tuple(unknown), instead,
        plan.words, plan.gap, plan.proven, terms().currency,
    )  # fmt: skip


def _sold() -> dict[int, list[SupplierPart]]:
    """Who sells what, by the row of the bins."""
    found: dict[int, list[SupplierPart]] = {}
    for one in SupplierPart.objects.select_related("supplier").order_by("each", "supplier__name"):
        found.setdefault(one.bin_part_id, []).append(one)
    return found


def _stocked(now: datetime, sold: Mapping[int, object]) -> tuple[dict[int, _Stocked], list[str]]:
    """The rows of the bins that may be ordered, and what nobody can tell."""
    unknown: list[str] = []
    wanted = needs(now)
    numbers = [one.bin_number for one in wanted if one.bin_number]
    # A supplier's list of fifty thousand lines is read in whole: what never lay here is ordered for a bike, never for the shelf.
    lay_here = Exists(BinMove.objects.filter(part=OuterRef("pk"))) | Q(low_mark__isnull=False)
    rows = BinPart.objects.filter(used_part__isnull=True).annotate(lay_here=lay_here)
    rows = rows.filter(Q(lay_here=True) & is_sold() | Q(number__in=numbers))
    found = {row.pk: _Stocked(row, row.lay_here) for row in rows.order_by("number")}
    by_number = {one.row.number: one for one in found.values()}
    for need in wanted:
        if need.bin_number in by_number:
            by_number[need.bin_number].needs.append(need)
        else:
            whose = need.tag or worded("the bins")
            unknown.append(
                worded(
                    "{words} for {whose}: nobody has said which part it is. Choose it on the page of parts.",
                    words=need.words,
                    whose=whose,
                )
            )
    unknown += _lay_bikes_on(found, sold, parts_of_known_bikes(now, REVIEW_DAYS + _USUAL_DAYS))
    for pk, walked in asked_for(found, now).items():
        found[pk].walked = walked
    for pk, held in set_aside_in(found).items():
        found[pk].aside = sum(one.count for one in held)
    for row, seen in on_order_of(found):
        if seen.job is None and row.bin_part_id is not None:
            found[row.bin_part_id].coming += row.count
    return found, unknown


def _lay_bikes_on(
    found: dict[int, _Stocked], sold: Mapping[int, object], bikes: Sequence[BikePart]
) -> list[str]:
    """Each known bike on the row that is like its part; where none is, that is said, by kinds."""
    rows = bins_by_kind({one.kind for one in bikes})
    lacking: dict[str, list[BikePart]] = {}
    for one in bikes:
        row = which_row(one, rows.get(one.kind, ()))
        if row is None:
            lacking.setdefault(one.kind, []).append(one)
        elif row.pk in sold:
            found.setdefault(row.pk, _Stocked(row)).bikes.append(one)
    said = []
    for kind, those in sorted(lacking.items()):
        expected = sum(one.chance for one in those)
        if expected >= 0.5:
            tags = ", ".join(sorted({one.tag for one in those})[:5])
            said.append(
                worded(
                    "About {expected:.0f} of {those} known bikes may ask for a {kind} that no row of the "
                    "bins is like ({tags}): its size was not read, or it stands in no bin. Read it at "
                    "the next visit.",
                    expected=expected,
                    those=len(those),
                    kind=kind,
                    tags=tags,
                )
            )
    return said


def _terms(one: Supplier) -> SupplierTerms:
    return SupplierTerms(
        one.name,
        float(one.carriage or 0),
        None if one.free_from is None else float(one.free_from),
        float(one.least_order or 0),
        _USUAL_DAYS if one.days is None else one.days,
    )


def _to_stock(
    one: _Stocked, sold: Sequence[SupplierPart], makers: Mapping[str, Supplier], today: date
) -> PartToStock:
    """A row of the bins as the engine takes it: demand until an order of next time would be here."""
    lead = min(_terms(makers[each.supplier.name]).days for each in sold)
    cheapest = float(sold[0].each)
    # A mark that somebody set says how many are kept for those who walk in.
    by_counts = one.is_kept and one.row.low_mark is None
    walk_ins = of_walk_ins(one.walked.count, one.walked.days, lead + REVIEW_DAYS) if by_counts else (1.0,)
    demand = together(
        of_known_bikes([bike.chance for bike in one.bikes]), walk_ins, sure=one.sure + one.by_mark
    )
    labour = float(terms().labour_an_hour)
    days = [left for need in one.needs if (left := need.in_days(today)) is not None]
    return PartToStock(
        one.row.number,
        one.have,
        demand,
        short=SHORT_HOURS * labour,
        hold=max(cheapest, 0.01) * HOLDING * REVIEW_DAYS / 365,
        sold_by=tuple(SoldBy(each.supplier.name, float(each.each), each.pack) for each in sold),
        sure=one.sure,
        in_days=min(days, default=None),
        late=SHORT_HOURS * labour if days else 0.0,
    )


def _orders(
    plan: OrderPlan,
    stocked: Mapping[str, tuple[_Stocked, Sequence[SupplierPart]]],
    makers: Mapping[str, Supplier],
    today: date,
) -> tuple[PartsOrderView, ...]:
    found = []
    for order in plan.orders:
        lines = []
        for one in order.parts:
            row, sold = stocked[one.part]
            terms_here = next(each for each in sold if each.supplier.name == order.supplier)
            cost = terms_here.each * one.count
            lines.append(
                OrderLineView(
                    one.part, row.row.words, order.supplier, terms_here.number, one.packs, one.count, terms_here.each,
                    cost, _why(row), tuple(row.needs),
                )
            )  # fmt: skip
        maker = makers[order.supplier]
        goods = sum((line.cost for line in lines), Decimal(0))
        carriage = (maker.carriage or Decimal(0)) if order.carriage else Decimal(0)
        due = today + timedelta(days=_terms(maker).days)
        found.append(
            PartsOrderView(maker.name, maker.how, maker.our_number, maker.phone, tuple(lines), goods, carriage, goods + carriage, due)
        )  # fmt: skip
    return tuple(found)


def _on_no_order(
    plan: OrderPlan, stocked: Mapping[str, tuple[_Stocked, Sequence[SupplierPart]]]
) -> tuple[str, ...]:
    """What is wanted for certain, is not there, and stands on no order of tonight: nobody finds that out at the stand."""
    ordered: dict[str, int] = {}
    for order in plan.orders:
        for line in order.parts:
            ordered[line.part] = ordered.get(line.part, 0) + line.count
    said = []
    for number, (one, _) in stocked.items():
        lacking = one.sure - max(0, one.have) - ordered.get(number, 0)
        if lacking > 0:
            whose = ", ".join(dict.fromkeys(need.tag or worded("the bins") for need in one.needs))
            said.append(
                worded(
                    "{lacking} × {words} ({number}) for {whose}: no order of tonight holds it, since its "
                    "carriage is more than it is worth or the least sum is not reached. If it must be "
                    "here, order it by hand and write it down at the part.",
                    lacking=lacking,
                    words=one.row.words,
                    number=number,
                    whose=whose,
                )
            )
    return tuple(said)


def _why(one: _Stocked) -> tuple[str, ...]:
    """Why a part stands on the list, in sentences."""
    said = []
    for need in one.needs:
        until = (
            worded(", promised {until:%a} {day} {until:%b}", until=need.until, day=need.until.day)
            if need.until
            else ""
        )
        said.append(
            worded(
                "{count} for {tag}{until}",
                count=need.count,
                tag=need.tag or worded("the bins, as somebody wrote down"),
                until=until,
            )
        )
    if one.bikes:
        expected = sum(bike.chance for bike in one.bikes)
        said.append(
            worded(
                "{bikes} known bikes may ask for it, about {expected:.1f} of them until the next "
                "order is here",
                bikes=len(one.bikes),
                expected=expected,
            )
        )
    if one.row.low_mark is not None:
        up_to = (
            ""
            if one.row.order_up_to is None
            else worded(", up to {order_up_to}", order_up_to=one.row.order_up_to)
        )
        said.append(worded("its mark: ordered at {low_mark}{up_to}", low_mark=one.row.low_mark, up_to=up_to))
    said.append(one.walked.words)
    lies = f"{max(0, one.row.count)} in {one.row.bin or worded('the bins')}"
    if one.aside:
        lies += worded(", {aside} of them set aside", aside=one.aside)
    said.append(f"{lies}{(worded(', {coming} on order', coming=one.coming) if one.coming else '')}")
    return tuple(said)
