"""The use line and the weeks: what is drawn is where it belongs."""

import re
from datetime import date, timedelta
from itertools import pairwise

import pytest

from pinchbolt.drawing import FittedTo, ReadOn, UsedBy, use_line, week_bars
from pinchbolt.errors import InputRefused

FIRST = date(2026, 1, 1)
POINTS = [UsedBy(FIRST + timedelta(days=50 * n), 500.0 * n, 10.0 * n) for n in range(5)]
STAYS = [
    FittedTo("MY-01", FIRST, FIRST + timedelta(days=100)),
    FittedTo("the <trainer> & rollers", FIRST + timedelta(days=100), None),
]
READ = [ReadOn(FIRST + timedelta(days=100), 1000.0, "0.4 percent")]


def polyline(svg: str) -> list[tuple[float, float]]:
    """The points of the line."""
    found = re.search(r'<polyline class="wr-read"[^>]* points="([^"]+)"', svg)
    assert found
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in found.group(1).split())]


def test_twice_the_distance_stands_twice_as_high():
    """Equal steps of days and kilometres lie on one straight line from the foot."""
    points = polyline(use_line(POINTS, STAYS, READ, title="chain"))
    steps = [(b[0] - a[0], a[1] - b[1]) for a, b in pairwise(points)]
    assert all(step == pytest.approx(steps[0], abs=0.02) for step in steps)
    assert steps[0][1] > 0


def test_a_reading_stands_on_the_line_at_its_day():
    """The diamond's middle is the line's point of that day."""
    svg = use_line(POINTS, STAYS, READ, title="chain")
    corners = re.search(r'<polygon class="wr-now"[^>]* points="([^"]+)"', svg)
    assert corners
    xy = [tuple(float(v) for v in pair.split(",")) for pair in corners.group(1).split()]
    middle = (sum(x for x, _ in xy) / 4, sum(y for _, y in xy) / 4)
    assert middle == pytest.approx(polyline(svg)[2], abs=0.02)


def test_a_screen_reader_hears_distance_fittings_and_readings():
    """All that is drawn is said, and what somebody typed can't break out of the drawing."""
    svg = use_line(POINTS, STAYS, READ, title="chain")
    assert "2,000 km give or take 40 by 20 Jul 2026; on MY-01 from 1 Jan 2026 to 11 Apr 2026;" in svg
    assert (
        "on the &lt;trainer&gt; &amp; rollers from 11 Apr 2026 until now; 11 Apr 2026 at 1,000 km: 0.4 percent."
        in svg
    )
    assert "<trainer>" not in svg


@pytest.mark.parametrize("width", [330.0, 640.0])
def test_no_word_runs_over_the_edge(width):
    """Each text's declared room lies within the drawing, on a phone too."""
    svgs = use_line(POINTS, STAYS, READ, title="chain", width=width, size=13.0)
    svgs += week_bars(
        [(FIRST + timedelta(days=7 * n), 100.0 + n, 20.0) for n in range(60)],
        title="weeks",
        width=width,
        size=13.0,
    )
    for x, room in re.findall(r'<text [^>]*?x="([\d.]+)"[^>]*?data-room="([\d.]+)"', svgs):
        assert float(x) + float(room) <= width


def test_a_week_without_a_ride_leaves_its_gap():
    """Three weeks, the middle one empty: its bar has no height, the others' are as 1 to 2."""
    weeks = [
        (FIRST, 50.0, 0.0),
        (FIRST + timedelta(days=7), 0.0, 0.0),
        (FIRST + timedelta(days=14), 100.0, 0.0),
    ]
    high = [
        float(h)
        for h in re.findall(r'<rect class="wr-half"[^>]*height="([\d.]+)"', week_bars(weeks, title="w"))
    ]
    assert high[1] == 0.0
    assert high[2] == pytest.approx(2 * high[0], abs=0.02)


def test_nothing_to_draw_is_refused():
    """A sentence instead of an empty picture."""
    with pytest.raises(InputRefused, match=r"^chain: there is no use to draw"):
        use_line([], [], [], title="chain")
    with pytest.raises(InputRefused, match=r"^weeks: there is no week to draw"):
        week_bars([], title="weeks")
