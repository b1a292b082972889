"""Money and figures as people read them in the shop's country. Amounts are Decimal, never float."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import reduce
from typing import Protocol, TypeVar

from pinchbolt.values.wording import worded

# ISO 4217 list one, column "minor unit": every currency that is not named here has two decimals.
# Held against a public copy of the list dated 2026-01-01; unit-of-account codes are left out.
_DIGITS = {
    **dict.fromkeys("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split(), 0),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),
}
# Only signs that mean one currency wherever they are read, and that the sheets' typeface has (a test asks the font);
# every other currency is written by its code.
_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$", "INR": "₹"}
# How a country writes figures: mark of the thousands, mark of the decimals, whether the sign stands behind.
# Common practice, no source; after the CLDR number patterns (from memory).
_POINTS = (".", ",", True)
_BLANKS = ("\N{NO-BREAK SPACE}", ",", True)
_WRITTEN = {
    **dict.fromkeys("DE ES IT PT GR HR SI DK TR ID RO".split(), _POINTS),
    **dict.fromkeys("FR FI SE NO PL CZ SK HU BG LT LV EE UA".split(), _BLANKS),
    "AT": (".", ",", False),
    "NL": (".", ",", False),
    "BE": (".", ",", True),
    "CH": ("\N{RIGHT SINGLE QUOTATION MARK}", ".", False),
}


class _Clears(Protocol):
    def cache_clear(self) -> None: ...


Kept = TypeVar("Kept", bound=_Clears)


@dataclass(slots=True)
class _Here:
    country: str = ""
    clears: list[Callable[[], None]] = field(default_factory=list)


_here = _Here()

EXACT = Context(prec=60, rounding=ROUND_HALF_UP)
"""Wide enough that no sum of an estimate is rounded by accident; halves go away from zero, as on a till."""


def sets_thousands_by_points(country: str) -> bool:
    """Return whether *country* writes a thousand and a half as 1.000,50.

    Source: common practice, no source; after the CLDR number patterns (from memory).
    """
    return _WRITTEN.get(country, ("", "", False))[0] == "."


def is_currency_code(currency: str) -> bool:
    """Return whether *currency* has the shape of an ISO 4217 code: three capital letters."""
    return len(currency) == 3 and currency.isascii() and currency.isalpha() and currency.isupper()


def smallest_coin(currency: str) -> Decimal:
    """Return the unit in which *currency* is counted: 0.01 for GBP, 1 for JPY, 0.001 for KWD.

    Source: ISO 4217, minor unit of each code.
    """
    if not is_currency_code(currency):
        raise ValueError(
            worded(
                "currency is {currency!r}: an ISO 4217 code is three capital letters, such as GBP",
                currency=currency,
            )
        )
    return Decimal(1).scaleb(-_DIGITS.get(currency, 2))


def to_the_penny(amount: Decimal, currency: str) -> Decimal:
    """Return *amount* rounded to the smallest coin of *currency*, halves away from zero.

    Raises:
        ValueError: A float, a value that is not finite, or no currency code.

    Source: Arithmetic; commercial rounding.
    """
    if not isinstance(amount, Decimal):
        raise ValueError(
            worded("amount is {amount!r}: money is a Decimal, so that pennies are exact", amount=amount)
        )
    if not amount.is_finite():
        raise ValueError(worded("amount is {amount}: money is a finite number", amount=amount))
    return amount.quantize(smallest_coin(currency), context=EXACT)


def money_sum(amounts: Iterable[Decimal]) -> Decimal:
    """Return the sum of *amounts*, exact whatever precision the caller's decimal context has.

    Source: Arithmetic.
    """
    return reduce(EXACT.add, amounts, Decimal(0))


def money_text(amount: Decimal, currency: str, country: str = "") -> str:
    """Return *amount* as it is printed: sign where it is clear, else the code; figures as *country* writes them.

    Args:
        amount: The amount. [currency]
        currency: ISO 4217 code. [-]
        country: ISO 3166 code of the country in which it is read; unknown or "" = as in the United Kingdom. [-]

    Example:
        >>> money_text(Decimal("45"), "GBP"), money_text(Decimal("-1250.5"), "SEK")
        ('£45.00', '-SEK 1,250.50')
        >>> money_text(Decimal("1250.5"), "EUR", "DE").replace("\N{NO-BREAK SPACE}", " ")
        '1.250,50 €'

    Source: ISO 4217 codes and minor units; where marks stand: common practice, no source.
    """
    rounded = to_the_penny(amount, currency)
    _, _, behind = _WRITTEN.get(country, ("", "", False))
    minus = "-" if rounded < 0 else ""
    figures = _marked(f"{rounded.copy_abs():,f}", country)
    mark, gap = _SIGNS.get(currency, currency), "\N{NO-BREAK SPACE}"
    if behind:
        return f"{minus}{figures}{gap}{mark}"
    # A code stands apart from its figures; a sign does in the countries named here, and not in the United Kingdom.
    apart = " " if currency not in _SIGNS else gap if country in _WRITTEN else ""
    return f"{minus}{mark}{apart}{figures}"


def guess_text(amount: Decimal, currency: str, country: str = "") -> str:
    """Return *amount*, which is only a guess, to the next 5: a price to the penny, or to the pound, would promise too much.

    Where a currency has no small coins it is to the next 500. Under half a step nothing is left to say: "".

    Example:
        >>> guess_text(Decimal("26.51"), "GBP"), guess_text(Decimal("173.66"), "EUR", "DE").replace("\N{NO-BREAK SPACE}", " ")
        ('£25', '175 €')
        >>> guess_text(Decimal("2.20"), "GBP"), guess_text(Decimal("5120"), "JPY")
        ('', 'JPY 5,000')

    Source: Common practice, no source.
    """
    step = Decimal(500 if smallest_coin(currency) == 1 else 5)
    steps = (amount / step).quantize(Decimal(1), context=EXACT)
    return whole_money_text(steps * step, currency, country) if steps else ""


def whole_money_text(amount: Decimal, currency: str, country: str = "") -> str:
    """Return *amount* to the whole unit, for what is only expected: a price to the penny would promise too much.

    Example:
        >>> whole_money_text(Decimal("21.71"), "GBP")
        '£22'

    Source: Common practice, no source.
    """
    whole = to_the_penny(amount.quantize(Decimal(1), context=EXACT), currency)
    written = money_text(whole, currency, country)
    _, decimals, _ = _WRITTEN.get(country, (",", ".", False))
    digits = -int(smallest_coin(currency).as_tuple().exponent)
    return written.replace(decimals + "0" * digits, "", 1) if digits else written


def figure_text(figure: float | Decimal, places: int | None = None) -> str:
    """Return a count or a distance as people write it in the shop's country: marks of thousands and of decimals.

    Args:
        figure: What is written. [any]
        places: Decimals; None = as many as the figure has. [-]

    Returns:
        The figure without a unit. [the same]

    Example:
        >>> figure_text(1234), figure_text(1234.56, 1), figure_text(Decimal("1250.50"))
        ('1,234', '1,234.6', '1,250.50')

    Source: where marks stand: common practice, no source.
    """
    return _marked(f"{figure:,}" if places is None else f"{figure:,.{places}f}", _here.country)


def written_as_in(country: str) -> None:
    """Write figures from now on as a country does; one process writes for one shop. What was kept with figures in it goes.

    Args:
        country: ISO 3166 code; unknown or "" = as in the United Kingdom. [-]
    """
    before, _here.country = _here.country, country
    if _WRITTEN.get(before) != _WRITTEN.get(country):
        for clear in _here.clears:
            clear()


def with_figures(kept: Kept) -> Kept:
    """Mark a cache whose answers hold figures as people write them: it is emptied where the shop's country becomes another."""
    _here.clears.append(kept.cache_clear)
    return kept


def _marked(figures: str, country: str) -> str:
    """Figures that are written as in the United Kingdom, with the marks of a country."""
    if country not in _WRITTEN:
        return figures
    thousands, decimals, _ = _WRITTEN[country]
    whole, point, part = figures.partition(".")
    return whole.replace(",", thousands) + (decimals + part if point else "")
