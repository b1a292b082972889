"""Units and money beside what is typed: said once, as the bench says them, in the shop's currency and its way of writing."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from pinchbolt.bench.fields import Figure, Money
from pinchbolt.records.models import Workshop
from tests.bench.conftest import Cast, Opened
from tests.bench.pages import MORE, PAGES

_LABEL = re.compile(r"<label[^>]*>([^<]+)<span class=\"unit\">\s*([^<]+)</span></label>")
_PERCENT = re.compile(r">[^<]*\d per ?cent\b[^<]*<")


@pytest.mark.parametrize("address", [*PAGES, *MORE], scope="session")
def test_a_unit_is_said_once_and_as_the_bench_says_it(opened: Callable[[str], Opened], address: str) -> None:
    """No "months months", no "money" where the shop has a currency, no percent beside a figure."""
    said = opened(address).said
    labels = [(words.strip(), unit.strip()) for words, unit in _LABEL.findall(said)]
    doubled = [one for one in labels if one[1] in one[0].split() or one[1] in ("money", "percent", "numbers")]
    assert not doubled
    assert not _PERCENT.findall(re.sub(r"<(script|style).*?</\1>", "", said, flags=re.DOTALL))


def test_the_unit_that_a_label_says_is_left_out() -> None:
    """Counts are bare; a share is a sign."""
    assert Figure("days it usually takes", "days").beside == "" == Figure("how many", "numbers").beside
    assert (Figure("hill", "percent").beside, Figure("length", "mm").beside) == ("%", "mm")


@pytest.mark.parametrize(
    ("country", "typed", "read"),
    [
        ("DE", "1.234,50 €", "1234.50"),
        ("DE", "1.234", "1234"),
        ("DE", "40,50", "40.50"),
        ("DE", "40.50", "40.50"),
        ("GB", "1,234.50", "1234.50"),
        ("GB", "£40", "40"),
        ("GB", "1.234,50", "1234.50"),
    ],
)
def test_money_is_read_as_the_country_writes_it(cast: Cast, country: str, typed: str, read: str) -> None:
    """1.234 is a thousand in Germany: never one and a bit."""
    Workshop.objects.update(country=country)
    assert Money("price").to_python(typed) == Decimal(read)


def test_a_sum_that_is_none_is_refused_in_the_shops_currency(cast: Cast) -> None:
    """What was typed, and what is expected."""
    with pytest.raises(ValidationError, match='"zwei": an amount in GBP is expected'):
        Money("or an amount").to_python("zwei")
