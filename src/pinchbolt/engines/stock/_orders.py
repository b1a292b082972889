"""What to order tonight, of whom: packs, carriage, free from a sum on, no order below a sum; one whole-number programme."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf, isfinite

import numpy as np

from pinchbolt.engines.stock._levels import expected_short
from pinchbolt.engines.stock.stock_types import (
    OrderedPart,
    OrderPlan,
    PartToStock,
    SoldBy,
    SupplierOrder,
    SupplierTerms,
)
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# The solver may take so long before the best known is given with its bound. [s]
PATIENCE = 4.0
# No more is ordered of a part than would be asked for in all but one of a thousand cases, and a pack more.
SURE_ENOUGH = 1e-3
# Up to so many choices the optimum itself is asked for; beyond, one ten-thousandth of the cost is let go.
_EXACT_TO = 150
_DUST = 1e-6

Packs = Mapping[tuple[int, int], int]
"""Packs by part and by the place of the supplier among those who sell it."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """A part at one of those who sell it: its places, its terms, and the most packs that make sense."""

    part: int
    at: int
    sold: SoldBy
    supplier: int
    most: int


def most_packs(part: PartToStock, sold: SoldBy) -> int:
    """Return the most packs of a part that make sense of one supplier.

    Args:
        part: The part. [-]
        sold: Who sells it, and how. [-]

    Returns:
        Packs. [packs]

    Source: The demand's own 999 in 1000, and one pack.
    """
    reached, need = 0.0, len(part.demand) - 1
    for count, chance in enumerate(part.demand):
        reached += chance
        if reached >= 1 - SURE_ENOUGH:
            need = count
            break
    return ceil(max(0, need - part.have) / sold.pack) + 1


def plan_cost(parts: Sequence[PartToStock], suppliers: Sequence[SupplierTerms], packs: Packs) -> float:
    """Return what a plan is expected to cost: short and over, dearer than elsewhere, late, and carriage; infinite where it is not allowed.

    Args:
        parts: The parts. [-]
        suppliers: Those who sell them. [-]
        packs: How many packs of which part of whom. [packs]

    Returns:
        Expected cost. [money]

    Source: Adding up; the newsvendor's cost of whole pieces.
    """
    terms = {one.name: one for one in suppliers}
    goods: dict[str, float] = {}
    cost = 0.0
    for i, part in enumerate(parts):
        came = in_time = 0
        cheapest = min((sold.each for sold in part.sold_by), default=0.0)
        for s, sold in enumerate(part.sold_by):
            count = packs.get((i, s), 0) * sold.pack
            came += count
            in_time += count if _in_time(part, terms[sold.supplier]) else 0
            goods[sold.supplier] = goods.get(sold.supplier, 0.0) + count * sold.each
            cost += count * (sold.each - cheapest)
        have = part.have + came
        lacks = expected_short(part.demand, have)
        over = have - sum(k * p for k, p in enumerate(part.demand)) + lacks
        cost += part.short * lacks + part.hold * over
        cost += part.late * max(0, part.sure - max(0, part.have) - in_time)
    for one in suppliers:
        spent = goods.get(one.name, 0.0)
        if spent > 0 and spent < one.least_order - _DUST:
            return inf
        cost += _carriage(one, spent)
    return cost


def _carriage(one: SupplierTerms, goods: float) -> float:
    free = one.free_from is not None and goods >= one.free_from - _DUST
    return one.carriage if goods > 0 and not free else 0.0


def _in_time(part: PartToStock, one: SupplierTerms) -> bool:
    return part.in_days is None or one.days <= part.in_days


def order_tonight(
    parts: Sequence[PartToStock], suppliers: Sequence[SupplierTerms], patience: float = PATIENCE
) -> OrderPlan:
    """Return the orders of least expected cost over all parts and suppliers together.

    minimise sum of short E(D - have)+ and hold E(have - D)+ (convex, so a row of pieces of falling worth), what a dearer
    supplier takes more, late pieces, and carriage; packs whole, carriage free from a sum, no order below the least sum.

    Args:
        parts: What may be ordered. [-]
        suppliers: Those who sell it, with their terms. [-]
        patience: Time for the solver before the best known is given with its bound. [s]

    Returns:
        The plan, what no plan can undercut, and the gap between them. [money]

    Raises:
        InputRefused: A price, a pack or a supplier that cannot be.
        NotPossibleNow: The solver found nothing in its time.

    Valid for: Some hundred parts. No more of a part than in all but one of a thousand cases is asked for, and a pack.

    Example:
        >>> one = PartToStock("chain", 0, (0.1, 0.4, 0.5), 20.0, 0.5, (SoldBy("north", 15.0),))
        >>> order_tonight([one], [SupplierTerms("north", carriage=4.0)]).orders[0].parts[0].count
        2

    Source: Whole-number programme; branch and bound of scipy.optimize.milp (HiGHS).
    """
    _refuse(parts, suppliers)
    places = {one.name: at for at, one in enumerate(suppliers)}
    choices = [
        _Choice(i, s, sold, places[sold.supplier], most_packs(part, sold))
        for i, part in enumerate(parts)
        for s, sold in enumerate(part.sold_by)
    ]
    nothing = plan_cost(parts, suppliers, {})
    if not choices:
        return OrderPlan(
            (), nothing, nothing, 0.0, True, worded("Nothing can be ordered: no supplier sells these parts.")
        )
    packs, at_least, proven = _solved(parts, suppliers, choices, patience)
    cost = plan_cost(parts, suppliers, packs)
    if nothing <= cost:
        packs, cost = {}, nothing
    at_least = min(at_least, cost)
    gap = (cost - at_least) / cost if cost > _DUST else 0.0
    words = (
        worded("No plan is cheaper by more than a ten-thousandth: this is proven.")
        if proven
        else worded("The time was over: a plan that is up to {gap} cheaper may exist.", gap=percent(gap, 1))
    )
    return OrderPlan(_orders(parts, suppliers, packs), cost, at_least, gap, proven, words)


def _refuse(parts: Sequence[PartToStock], suppliers: Sequence[SupplierTerms]) -> None:
    known = {one.name for one in suppliers}
    for part in parts:
        for sold in part.sold_by:
            if sold.supplier not in known:
                raise InputRefused(
                    worded(
                        "{name} is sold by {supplier}, of whom nothing is known. Write the supplier down.",
                        name=part.name,
                        supplier=sold.supplier,
                    )
                )
            if sold.pack < 1 or not (isfinite(sold.each) and sold.each >= 0):
                raise InputRefused(
                    worded(
                        "{name} at {supplier}: packs of {pack} at {each:g}. A pack is 1 or more, a price 0 "
                        "or more.",
                        name=part.name,
                        supplier=sold.supplier,
                        pack=sold.pack,
                        each=sold.each,
                    )
                )


def _orders(
    parts: Sequence[PartToStock], suppliers: Sequence[SupplierTerms], packs: Packs
) -> tuple[SupplierOrder, ...]:
    found = []
    for one in suppliers:
        lines = []
        for (i, s), count in sorted(packs.items()):
            sold = parts[i].sold_by[s]
            if count and sold.supplier == one.name:
                pieces = count * sold.pack
                lines.append(OrderedPart(parts[i].name, one.name, count, pieces, pieces * sold.each))
        goods = sum(line.cost for line in lines)
        if lines:
            found.append(SupplierOrder(one.name, tuple(lines), goods, _carriage(one, goods)))
    return tuple(found)


class _Programme:
    """The lines of the programme, put down entry by entry."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.whole: list[int] = []
        self.upper: list[float] = []
        self.entries: list[tuple[int, int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, cost: float, upper: float, *, whole: bool = False) -> int:
        """A variable from 0 to *upper*."""
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def line(self, entries: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """A line: low <= sum <= high."""
        row = len(self.low)
        self.entries += [(row, at, value) for at, value in entries]
        self.low.append(low)
        self.high.append(high)


def _solved(
    parts: Sequence[PartToStock],
    suppliers: Sequence[SupplierTerms],
    choices: Sequence[_Choice],
    patience: float,
) -> tuple[Packs, float, bool]:
    """Packs of the best plan found, what no plan undercuts, and whether that is proven."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to load, needed here only
    from scipy.sparse import csr_array  # noqa: PLC0415

    told = _Programme()
    packs = _packs_of(told, parts, choices)
    for s, one in enumerate(suppliers):
        _terms_of(told, one, [(packs[c], choice) for c, choice in enumerate(choices) if choice.supplier == s])
    fixed = 0.0
    for i, part in enumerate(parts):
        mine = [(packs[c], choice) for c, choice in enumerate(choices) if choice.part == i]
        fixed += _worth_of(told, part, mine, suppliers)
    rows, columns, values = zip(*told.entries, strict=True)
    matrix = csr_array((values, (rows, columns)), shape=(len(told.low), len(told.cost)))
    answer = milp(
        np.array(told.cost),
        integrality=np.array(told.whole),
        bounds=Bounds(0, np.array(told.upper)),
        constraints=[LinearConstraint(matrix, np.array(told.low), np.array(told.high))],
        options={"time_limit": patience, "mip_rel_gap": 0.0 if len(choices) <= _EXACT_TO else 1e-4},
    )
    if answer.x is None:
        raise NotPossibleNow(worded("No order was found in its time: take fewer parts, and try again."))
    found = {(one.part, one.at): round(float(answer.x[packs[c]])) for c, one in enumerate(choices)}
    return found, float(answer.mip_dual_bound) + fixed, answer.status == 0


def _packs_of(told: _Programme, parts: Sequence[PartToStock], choices: Sequence[_Choice]) -> list[int]:
    """One whole number of packs a choice, at what it costs more than the cheapest."""
    cheapest = {i: min(sold.each for sold in part.sold_by) for i, part in enumerate(parts) if part.sold_by}
    return [
        told.add((one.sold.each - cheapest[one.part]) * one.sold.pack, one.most, whole=True)
        for one in choices
    ]


def _terms_of(told: _Programme, one: SupplierTerms, mine: Sequence[tuple[int, _Choice]]) -> None:
    """Whether it is ordered there at all, whether carriage is free, and no order below the least."""
    if not (one.carriage > 0 or one.least_order > 0):
        return
    opened = told.add(one.carriage, 1, whole=True)
    for at, choice in mine:
        told.line([(at, 1.0), (opened, -float(choice.most))], -inf, 0.0)
    goods = [(at, choice.sold.each * choice.sold.pack) for at, choice in mine]
    if one.least_order > 0:
        told.line([*goods, (opened, -one.least_order)], 0.0, inf)
    if one.free_from is not None and one.carriage > 0:
        free = told.add(-one.carriage, 1, whole=True)
        told.line([(free, 1.0), (opened, -1.0)], -inf, 0.0)
        told.line([*goods, (free, -one.free_from)], 0.0, inf)


def _worth_of(
    told: _Programme,
    part: PartToStock,
    mine: Sequence[tuple[int, _Choice]],
    suppliers: Sequence[SupplierTerms],
) -> float:
    """What each further piece of a part is worth, falling; and what comes late. Returns what having none of it costs."""
    none = expected_short(part.demand, part.have) * part.short + part.hold * (
        part.have - sum(k * p for k, p in enumerate(part.demand)) + expected_short(part.demand, part.have)
    )
    if not mine:
        return none + part.late * max(0, part.sure - max(0, part.have))
    most = sum(choice.most * choice.sold.pack for _, choice in mine)
    pieces = []
    # P(demand <= k) of what one further piece would meet.
    reached = sum(part.demand[: max(0, part.have + 1)])
    for k in range(part.have, part.have + most):
        if k >= len(part.demand) - 1 or 1 - reached < 1e-12:
            pieces.append(told.add(part.hold, part.have + most - k))
            break
        pieces.append(told.add(part.hold * reached - part.short * (1 - reached), 1))
        reached += part.demand[k + 1] if k + 1 >= 0 else 0.0
    told.line(
        [*((at, float(choice.sold.pack)) for at, choice in mine), *((at, -1.0) for at in pieces)], 0.0, 0.0
    )
    lacking = max(0, part.sure - max(0, part.have))
    if lacking and part.late > 0:
        late = told.add(part.late, lacking)
        in_time = [(at, float(one.sold.pack)) for at, one in mine if _in_time(part, suppliers[one.supplier])]
        told.line([(late, 1.0), *in_time], float(lacking), inf)
    return none
