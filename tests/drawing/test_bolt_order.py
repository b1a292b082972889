"""The order of the bolts of one joint: across and across."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.drawing import bolt_order, star_order
from pinchbolt.errors import InputRefused
from tests.drawing.looking import SVG, told, tree


@pytest.mark.parametrize(
    ("count", "turns"),
    [
        (2, (1, 2)),  # by turns
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


@pytest.mark.parametrize(("passes", "steps"), [(1, []), (2, ["half", "full"]), (3, ["snug", "half", "full"])])
def test_each_pass_has_a_step_and_is_said(passes: int, steps: list[str]) -> None:
    """Snug, half, full; on paper a number stands under the step, and the drawing is no higher than its ring."""
    svg = bolt_order(4, passes=passes, title="stem face")
    texts = [one.text for one in tree(svg).iter(f"{SVG}text")]
    assert texts == ["1", "3", "2", "4", *steps]
    assert ("times round" in told(svg)) is bool(steps)
    assert all(word in told(svg) for word in steps)
    bars = [one for one in tree(svg).iter(f"{SVG}rect") if "safe" in (one.get("class") or "")]
    heights = [float(one.get("height") or 0) for one in bars]
    assert len(bars) == len(steps) and heights == sorted(set(heights))
    paper = tree(bolt_order(4, passes=passes, title="stem face", width=32.0, size=5.4, paper=True))
    assert [one.text for one in paper.iter(f"{SVG}text")][4:] == [str(n + 1) for n in range(len(steps))]
    assert paper.get("height") == "32"


def test_two_bolts_stand_side_by_side() -> None:
    """The first on the left; what is said counts from there."""
    first, second = (
        float(one.get("x") or 0)
        for one in list(tree(bolt_order(2, passes=3, title="steerer")).iter(f"{SVG}rect"))[:2]
    )
    assert first < second and "from left to right" in told(bolt_order(2, title="steerer"))


@pytest.mark.parametrize("count", [0, 1, 13])
def test_what_has_no_order_is_refused(count: int) -> None:
    """One bolt is tightened."""
    with pytest.raises(InputRefused, match="are drawn down together"):
        bolt_order(count, title="stem")


@pytest.mark.parametrize("passes", [0, 4])
def test_a_number_of_passes_that_nobody_makes_is_refused(passes: int) -> None:
    """One to three."""
    with pytest.raises(InputRefused, match="1 to 3 are drawn"):
        bolt_order(4, passes=passes, title="stem")
