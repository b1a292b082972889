"""The life line: a part's wear over its days."""

from datetime import date
from typing import Any

import pytest

from pinchbolt.drawing import ReadAt, life_line
from tests.drawing.forecasts import Drawn, forecast
from tests.drawing.looking import shapes, size, told, words

FITTED = date(2026, 3, 1)
CHAIN = forecast()
PADS = forecast(4.0, 2.0, 1.0, "mm", now=(2.8, 3.0, 3.1, 3.2, 3.4))
NEVER = forecast(days=("2026-12-20", None, None))
PAST = forecast(now=(0.78, 0.85, 0.92, 1.0, 1.1), past=0.97)
READ = [ReadAt(date(2026, 6, 1), None, 0.5), ReadAt(date(2026, 11, 25), 0.5, 0.75)]


def drawn(of: Drawn, read: list[ReadAt] = READ, width: float = 640.0, **more: Any) -> str:
    """The life line of a forecast."""
    return life_line(
        of, read, fitted=FITTED, fitted_known=more.pop("known", True), title="chain", width=width, **more
    )


@pytest.mark.parametrize("of", [CHAIN, PADS, NEVER, PAST])
@pytest.mark.parametrize(("width", "face"), [(640.0, 15.0), (330.0, 13.0)])
def test_nothing_leaves_the_sheet_and_no_words_touch(of: Drawn, width: float, face: float) -> None:
    """Worn or fresh, up or down, reached or not within ten years: on a tablet and a phone."""
    svg = drawn(of, width=width, size=face)
    wide, high = size(svg)
    boxes = words(svg)
    for n, one in enumerate(boxes):
        assert one.left >= 0 and one.right <= wide and one.bottom <= high
        for other in boxes[:n]:
            assert (
                one.left >= other.right
                or other.left >= one.right
                or one.top >= other.bottom
                or other.top >= one.bottom
            )
    for ink in ("read", "wedge", "half", "limit", "tick", "now", "minor", "edge", "hatch"):
        for piece in shapes(svg, ink):
            assert all(-6.0 <= v <= max(wide, high) + 6.0 for v in piece), (ink, piece)


def test_readings_stand_in_the_order_of_their_days() -> None:
    """Two go/no-go readings are two brackets, the later one to the right; a value is a diamond."""
    brackets = [p for p in shapes(drawn(CHAIN), "read") if len(p) == 8]
    assert len(brackets) == 2 and brackets[0][2] < brackets[1][2]
    value = drawn(CHAIN, [ReadAt(date(2026, 6, 1), 0.3, 0.3)])
    assert len(shapes(value, "now")) == 1


def test_more_wear_stands_nearer_the_limit_whichever_way_a_part_reads() -> None:
    """A thinning pad of 1.5 mm stands higher than one of 3 mm; a chain of 0.6 % higher than one of 0.2 %."""
    for of, fresh, worn in ((PADS, 3.0, 1.5), (CHAIN, 0.2, 0.6)):
        y = [shapes(drawn(of, [ReadAt(date(2026, 6, 1), v, v)]), "now")[0][1] for v in (fresh, worn)]
        assert y[1] < y[0]


def test_the_fan_ends_at_the_limit_on_the_days_forecast() -> None:
    """Sooner, likely and later lie in that order on the limit line; a part that is past it has no fan."""
    svg = drawn(CHAIN)
    fan = shapes(svg, "wedge")[0]
    limit_y = shapes(svg, "limit")[0][1]
    assert fan[2] < fan[4] and fan[3] == fan[5] == limit_y
    assert shapes(drawn(PAST), "wedge") == []


def test_the_life_is_told_in_words_too() -> None:
    """Whoever can't see it hears fitting, readings and forecast; an unknown beginning is said."""
    said = told(drawn(CHAIN))
    assert said.startswith(
        "fitted 1 Mar 2026; 1 Jun 2026 below 0.5 %; 25 Nov 2026 between 0.5 and 0.75 %; at its limit about 14 Feb 2027"
    )
    assert told(drawn(CHAIN, known=False)).startswith("there since before 1 Mar 2026")
    assert told(drawn(PAST)).endswith("past its limit already.")
    assert told(drawn(NEVER)).endswith(
        "at its limit not within ten years (likely 20 Dec 2026 to later than ten years ahead)."
    )
