"""What the stock engine takes and gives: demand, suppliers with their terms, parts to order, the plan of tonight, marks of a bin."""

from dataclasses import dataclass

from pinchbolt.values import Reason

Demand = tuple[float, ...]
"""Chances that 0, 1, 2 ... are asked for; the last stands for that many or more. [1]"""


@dataclass(frozen=True, slots=True)
class SupplierTerms:
    """How a supplier delivers: carriage of an order, free from a sum on, no order below a sum, days that it takes."""

    name: str
    carriage: float = 0.0
    free_from: float | None = None
    least_order: float = 0.0
    days: int = 2


@dataclass(frozen=True, slots=True)
class SoldBy:
    """What a supplier asks for one, and how many come in a pack."""

    supplier: str
    each: float
    pack: int = 1


@dataclass(frozen=True, slots=True)
class PartToStock:
    """A part that may be ordered.

    `have` lie in the bin or are on their way. `short` is what each that lacks costs, `hold` what each that is over costs until
    the next order. `sure` of the demand are for agreed work that must be here in `in_days`; each that comes later costs `late`.
    """

    name: str
    have: int
    demand: Demand
    short: float
    hold: float
    sold_by: tuple[SoldBy, ...]
    sure: int = 0
    in_days: int | None = None
    late: float = 0.0


@dataclass(frozen=True, slots=True)
class OrderedPart:
    """One line of an order: how many packs of a part, how many pieces that is, and what they cost."""

    part: str
    supplier: str
    packs: int
    count: int
    cost: float


@dataclass(frozen=True, slots=True)
class SupplierOrder:
    """What is ordered of one supplier tonight, with what carriage costs."""

    supplier: str
    parts: tuple[OrderedPart, ...]
    goods: float
    carriage: float


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """Orders of tonight. `cost` is what is expected: short, over, dearer than elsewhere, late and carriage.

    No plan costs less than `at_least`; `gap` is what could still be saved at most, as a share of the cost.
    """

    orders: tuple[SupplierOrder, ...]
    cost: float
    at_least: float
    gap: float
    proven: bool
    words: str


@dataclass(frozen=True, slots=True)
class StockMarks:
    """Marks of a bin: at `low` or fewer it is ordered, up to `up_to`; both 0: kept on no shelf. With the reason."""

    low: int
    up_to: int
    reasons: tuple[Reason, ...]
