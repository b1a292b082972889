"""The gears of a drive, drawn on a scale of equal steps by ratio."""

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.drawing import GearAt, RingRow, gears_drawing
from pinchbolt.errors import InputRefused
from tests.drawing.looking import shapes, size, told, words

ROLLS = 2.1


def row(ring: int, sprockets: list[int], when: str = "") -> RingRow:
    """A ring over sprockets on a wheel that rolls 2.1 m."""
    return RingRow(ring, tuple(GearAt(one, ring / one * ROLLS) for one in sprockets), when)


def test_equal_ratios_stand_equally_far_apart() -> None:
    """11, 22 and 44 teeth double the gear each time: their strokes stand at equal distances."""
    svg = gears_drawing([row(44, [11, 22, 44])], title="gears")
    low, middle, high = (x for x, *_ in shapes(svg, "warn"))
    assert high - middle == pytest.approx(middle - low, abs=0.02)
    assert told(svg) == "ring 44, 3 gears from 2.10 m (sprocket 44) to 8.40 m (sprocket 11)."


def test_after_a_swap_both_rows_stand_on_one_scale() -> None:
    """The same gear stands at the same place in both rows; the new one in its own ink."""
    svg = gears_drawing([row(40, [11, 28], "now"), row(40, [11, 36], "after")], title="gears")
    before, after = (sorted(x for x, *_ in shapes(svg, ink)) for ink in ("warn", "limit"))
    assert before[1] == pytest.approx(after[1], abs=0.02)
    share = log(40 / 36 / (40 / 28)) / log(40 / 36 / (40 / 11))
    assert (before[0] - after[0]) / (after[1] - after[0]) == pytest.approx(share, abs=1e-3)
    assert "now: ring 40, 2 gears" in told(svg) and "after: ring 40, 2 gears" in told(svg)


@given(
    st.lists(st.integers(22, 56), min_size=1, max_size=3, unique=True),
    st.lists(st.integers(9, 52), min_size=1, max_size=13, unique=True),
    st.sampled_from([(640.0, 15.0), (330.0, 13.0)]),
)
def test_words_never_touch_and_nothing_leaves_the_sheet(
    rings: list[int], sprockets: list[int], room: tuple[float, float]
) -> None:
    """From a single speed to three rings of thirteen, on a tablet and on a phone."""
    rows = [row(ring, sprockets, when) for when in ("now", "after") for ring in rings]
    svg = gears_drawing(rows, title="gears", width=room[0], size=room[1])
    width, height = size(svg)
    boxes = words(svg)
    for n, one in enumerate(boxes):
        assert one.left >= -0.01 and one.right <= width + 0.01, one
        assert one.bottom <= height + 0.01, one
        for other in boxes[:n]:
            apart = (
                one.left >= other.right - 0.01
                or other.left >= one.right - 0.01
                or one.top >= other.bottom - 0.01
                or other.top >= one.bottom - 0.01
            )
            assert apart, (one, other)


@pytest.mark.parametrize("rows", [[], [RingRow(40, ())], [RingRow(40, (GearAt(11, 0.0),))]])
def test_nothing_to_draw_is_refused(rows: list[RingRow]) -> None:
    """A sentence, and no empty drawing."""
    with pytest.raises(InputRefused, match="has none to show"):
        gears_drawing(rows, title="gears")
