"""Money as it is printed."""

from decimal import Decimal, localcontext

import pytest
from fontTools.ttLib import TTFont

from pinchbolt.drawing import FONTS
from pinchbolt.values.money import (
    guess_text,
    money_sum,
    money_text,
    smallest_coin,
    to_the_penny,
    whole_money_text,
)


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        ("45", "GBP", "£45.00"),
        ("1250.5", "EUR", "€1,250.50"),
        ("-3", "GBP", "-£3.00"),
        ("-0.001", "GBP", "£0.00"),
        ("45", "SEK", "SEK 45.00"),
        ("1250", "JPY", "JPY 1,250"),
        ("4.5", "KWD", "KWD 4.500"),
        ("0.005", "GBP", "£0.01"),
        ("123456789.12", "USD", "$123,456,789.12"),
    ],
)
def test_money_is_printed_with_its_own_coins(amount, currency, text):
    """Sign where it is clear, else the ISO 4217 code; decimals by the minor unit of ISO 4217."""
    with localcontext() as narrow:
        narrow.prec = 3
        assert money_text(Decimal(amount), currency) == text


@pytest.mark.parametrize(
    ("currency", "coin"), [("GBP", "0.01"), ("JPY", "1"), ("TND", "0.001"), ("ISK", "1")]
)
def test_the_smallest_coin_is_that_of_the_list(currency, coin):
    """ISO 4217 list one, minor units 2, 0, 3 and 0."""
    assert smallest_coin(currency) == Decimal(coin)


@pytest.mark.parametrize("currency", ["gbp", "GB", "POUND", "£££", "GB1", ""])
def test_a_word_that_is_no_code_is_refused(currency):
    """A code is three capital letters."""
    with pytest.raises(ValueError, match="three capital letters"):
        smallest_coin(currency)


@pytest.mark.parametrize("amount", [4.5, 4, "4.50"])
def test_only_decimals_are_money(amount):
    """A float is refused, and so is anything else that is no Decimal."""
    with pytest.raises(ValueError, match="money is a Decimal"):
        to_the_penny(amount, "GBP")


@pytest.mark.parametrize("amount", ["NaN", "Infinity"])
def test_money_is_finite(amount):
    """What is no number is not printed."""
    with pytest.raises(ValueError, match="finite"):
        money_text(Decimal(amount), "GBP")


def test_a_sum_is_exact_in_any_context():
    """Three digits of the caller do not cost a penny."""
    with localcontext() as narrow:
        narrow.prec = 3
        assert money_sum([Decimal("1234.56"), Decimal("0.01")]).compare(Decimal("1234.57")) == 0


@pytest.mark.parametrize(
    ("amount", "currency", "country", "text"),
    [
        ("1250.5", "EUR", "DE", "1.250,50 €"),
        ("1250.5", "EUR", "FR", "1 250,50 €"),
        ("-1250.5", "EUR", "AT", "-€ 1.250,50"),
        ("1250.5", "CHF", "CH", "CHF 1’250.50"),
        ("1250.5", "GBP", "GB", "£1,250.50"),
        ("1250", "JPY", "DE", "1.250 JPY"),
    ],
)
def test_money_is_written_as_the_country_writes_it(amount, currency, country, text):
    """Marks of thousands and decimals, and where the sign stands: common practice, no source."""
    assert money_text(Decimal(amount), currency, country).replace("\N{NO-BREAK SPACE}", " ") == text


@pytest.mark.parametrize("currency", ["KRW", "UAH", "ILS", "VND", "GBP", "EUR", "USD", "INR", "PLN"])
def test_every_sign_is_in_the_typeface_of_the_sheets(currency):
    """A sign that the font lacks stopped every sheet; there the code stands."""
    font = TTFont(FONTS / "B612-Regular.otf").getBestCmap()
    assert all(
        ord(letter) in font for letter in money_text(Decimal(45), currency) if letter != "\N{NO-BREAK SPACE}"
    )


def test_what_is_only_expected_is_said_in_whole_pounds():
    """21.71 is 22."""
    assert [whole_money_text(Decimal(x), "GBP") for x in ("21.71", "-12.29", "0.4")] == ["£22", "-£12", "£0"]
    assert whole_money_text(Decimal("1250.50"), "EUR", "DE").replace("\N{NO-BREAK SPACE}", " ") == "1.251 €"


@pytest.mark.parametrize(
    ("amount", "currency", "said"),
    [
        ("26.51", "GBP", "£25"),
        ("27.50", "GBP", "£30"),
        ("2.49", "GBP", ""),
        ("2.50", "GBP", "£5"),
        ("0", "GBP", ""),
        ("173.66", "EUR", "€175"),
        ("1742", "SEK", "SEK 1,740"),
        ("5120", "JPY", "JPY 5,000"),
        ("249", "JPY", ""),
    ],
)
def test_money_of_a_guess_is_said_to_the_next_five(amount: str, currency: str, said: str) -> None:
    """No penny that nobody knows; less than half a step is nothing to speak of."""
    assert guess_text(Decimal(amount), currency) == said
