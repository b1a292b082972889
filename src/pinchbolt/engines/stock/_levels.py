"""How many to keep: what one more is worth against what it costs to lie there, and the marks of a bin."""

from dataclasses import dataclass
from math import erf, exp, isfinite, pi, sqrt
from statistics import NormalDist

from pinchbolt.engines.stock._demand import BEFORE_COUNT, BEFORE_DAYS, of_walk_ins
from pinchbolt.engines.stock.stock_types import Demand, StockMarks
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.ahead import often_words
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class OnceOnly:
    """The amount to have for one period, and the cost of short and over that is expected with it."""

    amount: float
    cost: float


def newsvendor(mean: float, sd: float, short: float, over: float) -> OnceOnly:
    """Return the amount of least expected cost where the demand of one period is normal.

    amount = mean + z sd with P(z) = short / (short + over); cost = (short + over) sd phi(z).

    Args:
        mean: Of demand. [pieces]
        sd: Of demand. [pieces]
        short: What each that lacks costs. [money]
        over: What each that is over costs. [money]

    Returns:
        Amount and expected cost. [pieces, money]

    Raises:
        InputRefused: A cost or the spread is not above 0.

    Valid for: A smooth demand of dozens; a bin of a few takes `order_up_to`.

    Example:
        >>> round(newsvendor(100, 30, 3, 1).amount, 2)
        120.23

    Source: Newsvendor model, any operations text; worked examples in tests/published/test_stock_texts.py.
    """
    for name, value in ((worded("The spread"), sd), ("Short", short), ("Over", over)):
        if not (isfinite(value) and value > 0):
            raise InputRefused(
                worded("{name} is {value:g}: above 0 is needed. Say it again.", name=name, value=value)
            )
    z = NormalDist().inv_cdf(short / (short + over))
    return OnceOnly(mean + z * sd, (short + over) * sd * exp(-z * z / 2) / sqrt(2 * pi))


def normal_loss(z: float) -> float:
    """Return what a standard normal demand is expected to ask for beyond *z*: phi(z) - z (1 - P(z)).

    Args:
        z: Amount, in standard deviations from the mean. [1]

    Returns:
        The expected lack, in standard deviations. [1]

    Source: Unit normal loss function, any operations text.
    """
    return exp(-z * z / 2) / sqrt(2 * pi) - z * (1 - 0.5 * (1 + erf(z / sqrt(2))))


def lot_size(demand: float, ordering: float, holding: float, backorder: float | None = None) -> OnceOnly:
    """Return the economic order quantity and its cost a period.

    Q = sqrt(2 K d / h), cost sqrt(2 K d h); where a lack may wait at *backorder* p each: Q times sqrt((h + p) / p), the
    cost divided by it.

    Args:
        demand: A period. [pieces]
        ordering: What each order costs, whatever is in it. [money]
        holding: What one piece costs that lies there a period. [money]
        backorder: What one piece costs that waits a period; None: none may. [money]

    Returns:
        Pieces an order, and cost a period. [pieces, money]

    Raises:
        InputRefused: A value is not above 0.

    Valid for: Steady demand.

    Example:
        >>> round(lot_size(1300, 8, 0.225).amount, 3)
        304.047

    Source: F. W. Harris, Factory, The Magazine of Management 10 (1913) 135; with backorders any operations text.
    """
    told = [("Demand", demand), ("Ordering", ordering), ("Holding", holding)]
    told += [("Backorder", backorder)] if backorder is not None else []
    for name, value in told:
        if not (isfinite(value) and value > 0):
            raise InputRefused(
                worded("{name} is {value:g}: above 0 is needed. Say it again.", name=name, value=value)
            )
    more = 1.0 if backorder is None else sqrt((holding + backorder) / backorder)
    return OnceOnly(
        sqrt(2 * ordering * demand / holding) * more, sqrt(2 * ordering * demand * holding) / more
    )


def order_up_to(demand: Demand, short: float, over: float) -> int:
    """Return the least count k for which P(demand <= k) reaches short / (short + over).

    Args:
        demand: Until the next order has come. [1]
        short: What each that lacks costs. [money]
        over: What each that is over costs. [money]

    Returns:
        How many to have, in the bin and on their way. [pieces]

    Raises:
        InputRefused: A cost is below 0, or both are 0.

    Valid for: Whole pieces and any distribution.

    Example:
        >>> order_up_to((0.2, 0.45, 0.3, 0.05), 9, 1)
        2

    Source: Newsvendor model for whole pieces, any operations text.
    """
    if not (short >= 0 and over >= 0 and short + over > 0):
        raise InputRefused(
            worded(
                "Short costs {short:g} and over {over:g}: 0 or more, and not both 0. Say them again.",
                short=short,
                over=over,
            )
        )
    wanted, reached = short / (short + over), 0.0
    for count, chance in enumerate(demand):
        reached += chance
        if reached >= wanted - 1e-12:
            return count
    return len(demand) - 1


def expected_short(demand: Demand, have: int) -> float:
    """Return how many are expected to lack where *have* are there.

    Args:
        demand: Chances of 0, 1, 2 ... [1]
        have: How many are there. [pieces]

    Returns:
        The expected lack. [pieces]

    Source: Expectation of what is asked beyond; standard result.
    """
    return sum((count - have) * chance for count, chance in enumerate(demand) if count > have)


def marks(
    count: float, days_counted: float, lead: float, review: float, *, short: float, hold_a_year: float, ordering: float
) -> StockMarks:  # fmt: skip
    """Return the marks of a bin by its own counts: ordered at the low mark, up to the upper one, with the reason.

    The low mark is one below the newsvendor's count for lead and review; the upper one is as much above it as an order is
    worth its cost.

    Args:
        count: How many were asked for while it was counted. [pieces]
        days_counted: For how long that was. [days]
        lead: Days until an order is here. [days]
        review: Days between two evenings on which it is ordered. [days]
        short: What each that lacks costs. [money]
        hold_a_year: What one costs that lies there a year. [money]
        ordering: What this part's share of an order costs: carriage, and putting it away. [money]

    Returns:
        The marks. [pieces]

    Raises:
        InputRefused: A count, a day or a cost out of range.

    Valid for: Parts that are asked for one at a time. A part that is asked for less often than once in a hundred lead times is
        kept on no shelf.

    Example:
        >>> told = marks(24, 365, 2, 7, short=20, hold_a_year=5, ordering=0.5)
        >>> told.low, told.up_to
        (2, 4)

    Source: Newsvendor ratio for lead and review, economic order quantity above it; any operations text.
    """
    if not hold_a_year > 0:
        raise InputRefused(
            worded(
                "Holding one for a year costs {hold_a_year:g}: above 0 is needed. Say it again.",
                hold_a_year=hold_a_year,
            )
        )
    demand = of_walk_ins(count, days_counted, lead + review)
    # One that is short in a review is weighed against one that lies there until the next.
    level = order_up_to(demand, short, hold_a_year * review / 365)
    a_year = 365 * (BEFORE_COUNT + count) / (BEFORE_DAYS + days_counted)
    lot = max(1, round(lot_size(a_year, ordering, hold_a_year).amount)) if ordering > 0 else 1
    told = worded(
        "{count:g} asked for in {days_counted:g} days, about {a_year:.1f} a year",
        count=count,
        days_counted=days_counted,
        a_year=a_year,
    )
    if level == 0:
        words = worded(
            "{told}: one that lay there would be wanted too seldom. Order it when a job asks for it.",
            told=told,
        )
        return StockMarks(0, 0, (Reason(words, source=worded("own counts")),))
    lacks = sum(demand[level + 1 :])
    reasons = (
        Reason(
            worded(
                "{told}; {lead:g} days until it comes, ordered every {review:g}.",
                told=told,
                lead=lead,
                review=review,
            ),
            source=worded("own counts"),
        ),
        Reason(
            worded(
                "With {level} there it {lacks} runs short; one more would lie there longer than it is worth.",
                level=level,
                lacks=often_words(lacks),
            ),
            source="computed",
        ),
    )
    return StockMarks(level - 1, level - 1 + lot, reasons)
