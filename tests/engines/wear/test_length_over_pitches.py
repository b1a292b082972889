"""A chain measured by its length: what can be a chain at all, and what the sentence says where it can't."""

import pytest

from pinchbolt.engines.wear import elongation_percent
from pinchbolt.errors import InputRefused

NEW = 24 * 12.7  # 304.8 mm, ISO 606 pitch


@pytest.mark.parametrize("length", [NEW * 0.9699, NEW * 1.0501, 30.48, 3048.0])
def test_a_length_that_is_no_chain_is_refused_with_both_ends(length: float) -> None:
    """A pitch counted too many is 4 %: 3 % shorter and 5 % longer than new are the ends, in mm, beside the length."""
    with pytest.raises(InputRefused) as refused:
        elongation_percent(length, 24)
    assert refused.value.sentence == (
        f"length over 24 pitches is {length:g} mm: a chain is 295.7 to 320.0 mm. "
        "Count the pitches again, and measure from a pin edge to the same pin edge."
    )


@pytest.mark.parametrize(
    ("length", "percent"),
    [(NEW, 0.0), (306.324, 0.5), (307.086, 0.75), (NEW * 1.05, 5.0), (NEW * 0.97, -3.0)],
)
def test_elongation_is_the_share_of_the_length_of_a_new_chain(length: float, percent: float) -> None:
    """By hand: 304.8 mm new; 306.324 is 1.524 more, a half in a hundred. The ends themselves are chains still."""
    assert elongation_percent(length, 24) == pytest.approx(percent, abs=1e-9)
