"""Money as people read it. Amounts are Decimal, never float."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import reduce

# ISO 4217 list one, column "minor unit": every currency that is not named here has two decimals.
# Held against a public copy of the list dated 2026-01-01; unit-of-account codes are left out.
_DIGITS = {
    **dict.fromkeys("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split(), 0),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),
}
# Only signs that mean one currency wherever they are read; every other one is written by its code.
_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$", "INR": "₹", "KRW": "₩", "UAH": "₴", "ILS": "₪", "VND": "₫"}

EXACT = Context(prec=60, rounding=ROUND_HALF_UP)
"""Wide enough that no sum of an estimate is rounded by accident; halves go away from zero, as on a till."""


def is_currency_code(currency: str) -> bool:
    """Return whether *currency* has the shape of an ISO 4217 code: three capital letters."""
    return len(currency) == 3 and currency.isascii() and currency.isalpha() and currency.isupper()


def smallest_coin(currency: str) -> Decimal:
    """Return the unit in which *currency* is counted: 0.01 for GBP, 1 for JPY, 0.001 for KWD.

    Source: ISO 4217, minor unit of each code.
    """
    if not is_currency_code(currency):
        raise ValueError(f"currency is {currency!r}: an ISO 4217 code is three capital letters, such as GBP")
    return Decimal(1).scaleb(-_DIGITS.get(currency, 2))


def to_the_penny(amount: Decimal, currency: str) -> Decimal:
    """Return *amount* rounded to the smallest coin of *currency*, halves away from zero.

    Raises:
        ValueError: A float, a value that is not finite, or no currency code.

    Source: Arithmetic; commercial rounding.
    """
    if not isinstance(amount, Decimal):
        raise ValueError(f"amount is {amount!r}: money is a Decimal, so that pennies are exact")
    if not amount.is_finite():
        raise ValueError(f"amount is {amount}: money is a finite number")
    return amount.quantize(smallest_coin(currency), context=EXACT)


def money_sum(amounts: Iterable[Decimal]) -> Decimal:
    """Return the sum of *amounts*, exact whatever precision the caller's decimal context has.

    Source: Arithmetic.
    """
    return reduce(EXACT.add, amounts, Decimal(0))


def money_text(amount: Decimal, currency: str) -> str:
    """Return *amount* as it is printed: sign where it is clear, else the code; thousands set off by commas.

    Example:
        >>> money_text(Decimal("45"), "GBP"), money_text(Decimal("-1250.5"), "SEK")
        ('£45.00', '-SEK 1,250.50')

    Source: ISO 4217 codes and minor units; UK practice for the comma and the place of the sign.
    """
    rounded = to_the_penny(amount, currency)
    sign = "-" if rounded < 0 else ""
    mark = _SIGNS.get(currency, f"{currency} ")
    return f"{sign}{mark}{rounded.copy_abs():,f}"


def if_left_text(cost: Decimal | None, currency: str) -> str:
    """Return what leaving a line is expected to cost beside doing it now, in the same words on every door.

    Args:
        cost: More than doing it now; below 0 it is less; None where it is not known. [currency]
        currency: Code of three letters. [-]

    Example:
        >>> from decimal import Decimal
        >>> [if_left_text(cost, "GBP") for cost in (Decimal("3.20"), Decimal("-3.20"), Decimal(0), None)]
        ['£3.20 more', '£3.20 less', 'the same', 'not known']
    """
    if cost is None:
        return "not known"
    if cost == 0:
        return "the same"
    return f"{money_text(abs(cost), currency)} {'more' if cost > 0 else 'less'}"
