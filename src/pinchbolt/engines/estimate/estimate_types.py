"""What the estimate engine is asked and what it answers. Money is Decimal in the workshop's currency."""

from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.values import Reason, Verdict


@dataclass(frozen=True, slots=True)
class Minutes:
    """Bench minutes of a trained mechanic: low, usual, high."""

    low: int
    usual: int
    high: int


@dataclass(frozen=True, slots=True)
class Block:
    """Work that several operations share and that is done once: once a bike, or once a place (`at_place`).

    A tyre taken off at the front saves nothing at the rear: such a block is shared only by lines
    that name the same place.
    """

    id: str
    words: str
    minutes: int
    at_place: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class OperationToPrice:
    """One operation of the menu; its minutes include those of the blocks it shares.

    `tax_percent` is inside the price of its labour; None = the usual rate of the terms. `once`: those of its minutes
    that are not done again where the work is done several times, besides the blocks. `fixed_price`: what its labour costs
    each time it is done, whatever it takes and whatever it shares. `by_hand`: what a hand says that it costs, for all the times
    that it is done on the line; it comes before both.
    """

    id: str
    name: str
    minutes: Minutes
    shares: tuple[str, ...]
    source: str = ""
    tax_percent: Decimal | None = None
    once: Minutes = Minutes(0, 0, 0)
    fixed_price: Decimal | None = None
    by_hand: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PartPrice:
    """A part by name, price of one (with tax, as on the shelf) and how many; `tax_percent` None = the usual rate."""

    name: str
    each: Decimal
    count: int = 1
    tax_percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LineToPrice:
    """One line: an operation, its parts, the verdict it answers, and what leaving it is expected to cost.

    `cost_of_waiting` None means that nobody knows; below 0, that waiting is expected to be cheaper. `place` is
    where on the bike ("front", "rear"), for blocks that are shared at one place only. `count`: how many times the
    operation is done there; its blocks are done once. `parts` are those of the whole line.
    """

    id: str
    words: str
    operation: OperationToPrice | None
    parts: tuple[PartPrice, ...]
    verdict: Verdict
    cost_of_waiting: Decimal | None = None
    place: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class Terms:
    """Labour an hour with tax, usual tax in percent contained in every price, currency by its ISO 4217 code.

    `tax_percent` None: the shop is not registered for tax, and none is in any price. `country` (ISO 3166) says how
    money is written.
    """

    labour_an_hour: Decimal
    tax_percent: Decimal | None
    currency: str
    country: str = ""


@dataclass(frozen=True, slots=True)
class AtRate:
    """What is charged at one rate of tax [%]; None = without tax, since the shop is not registered."""

    rate: Decimal | None
    gross: Decimal


@dataclass(frozen=True, slots=True)
class TaxAtRate:
    """Tax of one rate on the sum of what is charged at it: gross = net + tax."""

    rate: Decimal
    gross: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class LinePriced:
    """A line with its money, all to the coin: price = labour + parts; total = price - saved.

    `price` is that of the line by itself; `saved` is the labour of the work that lines told before it do already, and
    `total` what the line adds to them. Neither moves when another line is declined. `high_total` is the total with
    the high minutes. `minutes` are what the line adds; `saved_minutes` those that it was spared. `amounts` share the
    total out among the rates of tax.
    """

    id: str
    words: str
    verdict: Verdict
    minutes: Minutes
    labour: Decimal
    parts: tuple[PartPrice, ...]
    parts_total: Decimal
    price: Decimal
    saved: Decimal
    total: Decimal
    high_total: Decimal
    amounts: tuple[AtRate, ...]
    cost_of_waiting: Decimal | None
    reasons: tuple[Reason, ...]
    saved_minutes: int = 0
    place: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class PricedEstimate:
    """Lines added up: price = sum of their prices; total = price - saved; tax = sum of `taxes`; net = total - tax."""

    lines: tuple[LinePriced, ...]
    minutes: Minutes
    saved_minutes: int
    price: Decimal
    saved: Decimal
    total: Decimal
    high_total: Decimal
    taxes: tuple[TaxAtRate, ...]
    tax: Decimal
    net: Decimal
    currency: str
    reasons: tuple[Reason, ...]
