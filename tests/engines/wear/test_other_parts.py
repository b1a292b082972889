"""Other parts through the same engine: drawn lives of cassettes, rotors, pads, rims and tyres, held to their cover."""

from functools import cache

import pytest

from ratios.wear_parts import PARTS, law_of, part_score

N = 3000
score = cache(part_score)


@pytest.mark.parametrize("row", PARTS)
def test_the_interval_of_what_is_left_holds_what_it_says(row):
    """Of 3,000 lives drawn with the row's own spread, noise as a gamma process, 80 % intervals hold 76 to 84 %.

    The standard error of that share is 0.7 %; the error of the median is less than that of the trade's life by itself.
    """
    found = score(row, N)
    assert 0.76 <= found.wide <= 0.84
    assert found.against_flat < 0.75


@pytest.mark.parametrize("row", [row for row in PARTS if law_of(row).safety])
def test_a_safety_part_called_at_its_5_percent_point_comes_in_time(row):
    """At most 6.5 % are past their limit on arrival, plus three standard errors of 3,000 parts."""
    assert score(row, N).late <= 0.065 + 3 * (0.065 * 0.935 / N) ** 0.5
