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
    """One operation of the menu; its minutes include those of the blocks it shares."""

    id: str
    name: str
    minutes: Minutes
    shares: tuple[str, ...]
    source: str = ""


@dataclass(frozen=True, slots=True)
class PartPrice:
    """A part by name, price of one (with tax, as on the shelf) and how many."""

    name: str
    each: Decimal
    count: int = 1


@dataclass(frozen=True, slots=True)
class LineToPrice:
    """One line: an operation, its parts, the verdict it answers, and what leaving it is expected to cost.

    `cost_of_waiting` None means that nobody knows; below 0, that waiting is expected to be cheaper. `place` is
    where on the bike ("front", "rear"), for blocks that are shared at one place only.
    """

    id: str
    words: str
    operation: OperationToPrice | None
    parts: tuple[PartPrice, ...]
    verdict: Verdict
    cost_of_waiting: Decimal | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """Labour an hour with tax, tax in percent contained in every price, currency by its ISO 4217 code."""

    labour_an_hour: Decimal
    tax_percent: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class LinePriced:
    """A line with its money, all to the penny: total = labour + parts; `tax` is contained in the total.

    `minutes` are what this line adds to the lines before it; `saved_minutes` those that earlier lines brought.
    """

    id: str
    words: str
    verdict: Verdict
    minutes: Minutes
    labour: Decimal
    parts: tuple[PartPrice, ...]
    parts_total: Decimal
    total: Decimal
    high_total: Decimal
    tax: Decimal
    cost_of_waiting: Decimal | None
    reasons: tuple[Reason, ...]
    saved_minutes: int = 0


@dataclass(frozen=True, slots=True)
class PricedEstimate:
    """The whole estimate. `total` is the sum of the lines, `tax` the sum of their taxes, `net` the rest.

    `total_if_left` leaves out the lines of `waiting_unknown`: what waiting does to them, nobody knows.
    """

    lines: tuple[LinePriced, ...]
    minutes: Minutes
    saved_minutes: int
    total: Decimal
    high_total: Decimal
    tax: Decimal
    net: Decimal
    total_if_left: Decimal
    currency: str
    reasons: tuple[Reason, ...]
    waiting_unknown: tuple[str, ...] = ()
