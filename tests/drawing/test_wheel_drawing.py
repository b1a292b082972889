"""The wheel drawn: a spoke as long as it is tight, what is to be turned beside it, and the same in words for who listens."""

import re
from html import unescape
from math import hypot
from xml.etree import ElementTree

import pytest

from pinchbolt.drawing import SpokeMark, lacing_drawing, wheel_drawing


def marks(*shares: float | None) -> list[SpokeMark]:
    """Spokes by turns left and right."""
    return [SpokeMark(at % 2 == 1, share) for at, share in enumerate(shares)]


def lengths(svg: str, width: float) -> list[float]:
    """How far each bar reaches from the middle."""
    found = []
    for points in re.findall(r'<polygon [^>]*points="([^"]+)"', svg):
        ends = [tuple(map(float, one.split(","))) for one in points.split()]
        found.append(max(hypot(x - width / 2, y - width / 2) for x, y in ends))
    return found


@pytest.mark.parametrize("paper", [False, True])
def test_a_tighter_spoke_is_longer_and_half_is_half(paper: bool) -> None:
    """From the hub on the length is the tension; no bar is drawn for one that nobody knows."""
    svg = wheel_drawing(marks(1.0, 0.5, 1.25, None, 0.0, 9.0), title="rear wheel", width=400.0, paper=paper)
    ElementTree.fromstring(svg)
    drawn = lengths(svg, 400.0)
    assert len(drawn) == 5
    none = drawn[3]
    assert abs((drawn[1] - none) / (drawn[0] - none) - 0.5) < 0.02
    assert abs((drawn[2] - none) / (drawn[0] - none) - 1.25) < 0.02
    assert drawn[4] < 200, "even nine times the mean stays on the drawing"


def test_what_is_to_be_turned_stands_beside_the_spoke_and_in_words() -> None:
    """Signs, not colours; who listens hears what is out and what is turned."""
    spokes = [
        SpokeMark(False, 0.7, to_turn=2),
        SpokeMark(True, 1.0, to_turn=-1),
        SpokeMark(False, 1.1, turned=1),
    ]
    svg = wheel_drawing([*spokes, SpokeMark(True, None)], title="rear wheel")
    assert ">+2<" in svg and ">-1<" in svg and ">3<" in svg
    told = unescape(re.findall(r"<desc[^>]*>([^<]*)", svg)[0])
    assert told == (
        "4 spokes, the tension of 3 is known. Outside 20 % of the side's mean: spoke 1 70 %. "
        "To turn, in quarters: spoke 1 +2, spoke 2 -1."
    )


def test_each_set_of_the_lacing_is_drawn_upon_those_before() -> None:
    """Eight lines more with each set of a wheel of 32; the valve stands before spoke 1."""
    lines = [lacing_drawing(32, 3, stage=stage, title="lacing").count("<line") for stage in (1, 2, 3, 4)]
    assert lines == [8, 16, 24, 32]
    assert ">v<" in lacing_drawing(32, 3, title="lacing")
