"""The order of the bolts of one joint: across and across."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.drawing import bolt_order, star_order
from pinchbolt.errors import InputRefused
from tests.drawing.looking import told


@pytest.mark.parametrize(
    ("count", "turns"),
    [
        (3, (1, 2, 3)),
        (4, (1, 3, 2, 4)),  # a cross
        (5, (1, 4, 2, 5, 3)),  # a five-pointed star
        (6, (1, 3, 5, 2, 4, 6)),  # 1, 4, 2, 5, 3, 6 round the ring: opposite pairs
    ],
)
def test_bolts_are_drawn_down_crosswise(count: int, turns: tuple[int, ...]) -> None:
    """As every fitter draws a wheel or a face down (common practice, no source)."""
    assert star_order(count) == turns


@given(st.integers(4, 12))
def test_no_bolt_follows_its_neighbour_while_another_is_left_across(count: int) -> None:
    """The second is across the first; each comes once."""
    turns = star_order(count)
    assert sorted(turns) == list(range(1, count + 1))
    first, second = turns.index(1), turns.index(2)
    assert min((first - second) % count, (second - first) % count) == count // 2


def test_the_drawing_says_its_order() -> None:
    """For whoever can't see it."""
    assert "in this order: 1, 3, 2, 4." in told(bolt_order(4, title="stem face"))


@pytest.mark.parametrize("count", [0, 2, 13])
def test_what_stands_in_no_ring_is_refused(count: int) -> None:
    """Two bolts are done by turns."""
    with pytest.raises(InputRefused, match="stand in a ring"):
        bolt_order(count, title="stem")
