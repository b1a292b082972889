"""Sums of priced lines, and the tax in them."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from pinchbolt.engines.estimate.estimate_types import AtRate, LinePriced, Minutes, PricedEstimate, TaxAtRate
from pinchbolt.values import Reason
from pinchbolt.values.money import EXACT, money_sum, to_the_penny
from pinchbolt.values.wording import worded


def add_up(lines: Sequence[LinePriced], currency: str) -> PricedEstimate:
    """Return the sums of lines that were priced, now or long ago: nothing is priced anew.

    Args:
        lines: Lines with their money, in the order in which they are printed. [currency]
        currency: ISO 4217 code of all of them. [-]

    Returns:
        The sums; every one is that of what is printed on the lines. [currency]

    Valid for: Lines of one currency.

    Example:
        >>> add_up([], "GBP").total
        Decimal('0.00')

    Source: Arithmetic; tax as `tax_on`.
    """
    taxes = tax_on((amount for line in lines for amount in line.amounts), currency)
    total, tax = _sum((line.total for line in lines), currency), _sum((one.tax for one in taxes), currency)
    return PricedEstimate(
        lines=tuple(lines),
        minutes=Minutes(
            low=sum(line.minutes.low for line in lines),
            usual=sum(line.minutes.usual for line in lines),
            high=sum(line.minutes.high for line in lines),
        ),
        saved_minutes=sum(line.saved_minutes for line in lines),
        price=_sum((line.price for line in lines), currency),
        saved=_sum((line.saved for line in lines), currency),
        total=total,
        high_total=_sum((line.high_total for line in lines), currency),
        taxes=taxes,
        tax=tax,
        net=EXACT.subtract(total, tax),
        currency=currency,
        reasons=_reasons(lines, taxes),
    )


def tax_on(amounts: Iterable[AtRate], currency: str) -> tuple[TaxAtRate, ...]:
    """Return the tax inside *amounts*, once a rate, on the sum of what is charged at it; the highest rate first.

    ``tax = gross * rate / (100 + rate)``, rounded to the coin once; ``net = gross - tax``. What is charged without a
    rate (a shop that is not registered) has no row.

    Args:
        amounts: What is charged at each rate, tax included; below 0 where it is given back. [currency, %]
        currency: ISO 4217 code. [-]

    Returns:
        One row a rate. [currency]

    Valid for: Prices that include their tax. Rounding halves away from zero makes a reversed bill the mirror of the bill.

    Example:
        >>> (row,) = tax_on([AtRate(Decimal(19), Decimal("0.99"))] * 30, "EUR")
        >>> row.tax, row.net
        (Decimal('4.74'), Decimal('24.96'))

    Source: Tax once a category and rate on its sum: EN 16931-1, BR-CO-17, as its published rules file tests it (within
        one unit of the currency; here within one coin). The fraction t / (100 + t): VAT Notice 700 (from memory).
    """
    gross: dict[Decimal, Decimal] = {}
    for one in amounts:
        if one.rate is not None:
            gross[one.rate] = EXACT.add(gross.get(one.rate, Decimal(0)), one.gross)
    rows = []
    for rate in sorted(gross, reverse=True):
        share = EXACT.divide(EXACT.multiply(gross[rate], rate), EXACT.add(Decimal(100), rate))
        whole, tax = to_the_penny(gross[rate], currency), to_the_penny(share, currency)
        rows.append(TaxAtRate(rate, whole, EXACT.subtract(whole, tax), tax))
    return tuple(rows)


def _sum(amounts: Iterable[Decimal], currency: str) -> Decimal:
    return to_the_penny(money_sum(amounts), currency)


def _reasons(lines: Sequence[LinePriced], taxes: Sequence[TaxAtRate]) -> tuple[Reason, ...]:
    reasons = []
    if taxes:
        rates = ", ".join(f"{EXACT.normalize(row.rate):f}" for row in taxes)
        reasons.append(
            Reason(
                worded(
                    "Tax of {rates} % is inside every price. It is worked out once a rate, on the sum of "
                    "what is charged at it.",
                    rates=rates,
                )
            )
        )
    saved = sum(line.saved_minutes for line in lines)
    if saved:
        reasons.append(
            Reason(
                worded(
                    "Shared work is counted once: {saved} minutes less than the lines one by one. The "
                    "saving stays, whatever else is declined.",
                    saved=saved,
                )
            )
        )
    return tuple(reasons)
