"""Counts and distances as the shop's country writes them."""

from decimal import Decimal
from functools import lru_cache

import pytest

from pinchbolt.values.about import about, time_words
from pinchbolt.values.money import figure_text, with_figures, written_as_in


@pytest.mark.parametrize(
    ("country", "whole", "with_decimals", "small"),
    [
        ("", "1,234", "12,345.7", "0.5"),
        ("GB", "1,234", "12,345.7", "0.5"),
        ("DE", "1.234", "12.345,7", "0,5"),
        ("FR", "1\N{NO-BREAK SPACE}234", "12\N{NO-BREAK SPACE}345,7", "0,5"),
        ("CH", "1\N{RIGHT SINGLE QUOTATION MARK}234", "12\N{RIGHT SINGLE QUOTATION MARK}345.7", "0.5"),
    ],
)
def test_a_figure_is_written_as_the_country_does(country, whole, with_decimals, small):
    """Marks of thousands and of decimals; below nothing the sign stands before."""
    written_as_in(country)
    assert figure_text(1234) == whole
    assert figure_text(-1234) == f"-{whole}"
    assert figure_text(12345.678, 1) == with_decimals
    assert figure_text(Decimal("0.5")) == small


def test_forecasts_are_written_so_too():
    """The helpers that every door uses go by the same country."""
    written_as_in("DE")
    assert about(2479) == "2.500"
    assert time_words(3_000_000) == "2.083 days"


def test_what_was_kept_with_figures_goes_with_the_country():
    """Else a shop that says its country would read the old marks until the program is started again."""
    kept = with_figures(lru_cache(maxsize=4)(figure_text))
    assert kept(1234) == "1,234"
    written_as_in("DE")
    assert kept(1234) == "1.234"
