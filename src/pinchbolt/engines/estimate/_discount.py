"""What is taken off a sum: an amount or a share of it, spread over the rates of tax that it bears."""

from collections.abc import Sequence
from decimal import Decimal

from pinchbolt.engines.estimate.estimate_types import AtRate, LinePriced, Minutes
from pinchbolt.values import Verdict
from pinchbolt.values.money import EXACT, money_sum, smallest_coin, to_the_penny


def take_off(
    name: str,
    words: str,
    lines: Sequence[LinePriced],
    currency: str,
    *,
    amount: Decimal | None,
    percent: Decimal,
) -> LinePriced:
    """Return a discount on *lines* as a line of its own, every amount of it below 0.

    The share of each rate is that of its gross in the sum, rounded to the coin; what rounding leaves goes to the largest.
    So ``sum of amounts = total`` to the coin, and no rate is taken below 0.

    Args:
        name: Id of the line. [-]
        words: As it is printed. [-]
        lines: What it is on. [currency]
        currency: ISO 4217 code. [-]
        amount: What is taken off, at most the whole sum; None: *percent* of it. [currency]
        percent: Share of the sum, where no amount is given. [%]

    Returns:
        The line; 0 where there is nothing to take off. [currency]

    Valid for: Prices that include their tax.

    Example:
        >>> line = LinePriced("1", "bleed", Verdict.WATCH, Minutes(1, 1, 1), Decimal("80.00"), (), Decimal("0.00"),
        ...     Decimal("80.00"), Decimal("0.00"), Decimal("80.00"), Decimal("80.00"),
        ...     (AtRate(Decimal(20), Decimal("80.00")),), None, ())
        >>> take_off("d", "regular", [line], "GBP", amount=None, percent=Decimal(10)).total
        Decimal('-8.00')

    Source: A discount lowers what is charged at each rate in proportion: common practice, no source (rules on invoices such
        as EN 16931-1 ask only that an allowance names its rate).
    """
    gross: dict[Decimal | None, Decimal] = {}
    for line in lines:
        for one in line.amounts:
            gross[one.rate] = EXACT.add(gross.get(one.rate, Decimal(0)), one.gross)
    whole = money_sum(gross.values())
    share = EXACT.divide(EXACT.multiply(whole, percent), Decimal(100))
    off = to_the_penny(min(share if amount is None else amount, max(whole, Decimal(0))), currency)
    amounts = _spread(off, gross, whole, currency)
    none = 0 * smallest_coin(currency)
    return LinePriced(
        id=name,
        words=words,
        verdict=Verdict.SOUND,
        minutes=Minutes(0, 0, 0),
        labour=none,
        parts=(),
        parts_total=none,
        price=-off,
        saved=none,
        total=-off,
        high_total=-off,
        amounts=tuple(AtRate(rate, -part) for rate, part in amounts.items() if part),
        cost_of_waiting=None,
        reasons=(),
    )


def _spread(
    off: Decimal, gross: dict[Decimal | None, Decimal], whole: Decimal, currency: str
) -> dict[Decimal | None, Decimal]:
    if not whole or not off:
        return {}
    parts = {
        rate: to_the_penny(EXACT.divide(EXACT.multiply(off, one), whole), currency)
        for rate, one in gross.items()
    }
    largest = max(gross, key=lambda rate: gross[rate])
    left = EXACT.subtract(off, money_sum(parts.values()))
    return {**parts, largest: EXACT.add(parts[largest], left)}
