"""Check digits of numbers under bar codes: the worked example of the GS1 rule, and numbers that public pages print."""

import pytest

from pinchbolt.engines.stock import check_digit, gtin_of
from pinchbolt.errors import InputRefused

# The worked example of the rule (sum 57, digit 3), two of 14 and 13 figures, one of 12.
PRINTED = ["6291041500213", "7300011000017", "8904000210037", "036000241457"]


@pytest.mark.parametrize("number", PRINTED)
def test_numbers_of_public_pages(number):
    """Each holds, and its last figure follows from the others."""
    assert gtin_of(number) == number.zfill(14)
    assert check_digit(number[:-1]) == int(number[-1])


@pytest.mark.parametrize("number", PRINTED)
def test_each_wrong_figure_is_seen(number):
    """Weights 1 and 3 have no common factor with 10: no single wrong figure is believed."""
    for at, figure in enumerate(number):
        for other in set("0123456789") - {figure}:
            with pytest.raises(InputRefused, match="Scan it again"):
                gtin_of(number[:at] + other + number[at + 1 :])


def test_neighbours_that_differ_by_five_change_places_unseen():
    """What the rule can't see: 16 read as 61 holds as well, so a number that holds is no proof of a part."""
    number = "400000001616"
    whole = number + str(check_digit(number))
    swapped = whole.replace("16", "61", 1)
    assert gtin_of(whole) != gtin_of(swapped)
