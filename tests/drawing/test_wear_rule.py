"""The wear rule."""

from math import inf

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pinchbolt.drawing import wear_rule
from pinchbolt.errors import InputRefused
from tests.drawing.forecasts import Drawn, any_forecast, forecast
from tests.drawing.looking import shapes, size, told, words

CHAIN = forecast(reading=(0.5, 0.75, 0.46, 0.79))
PADS = forecast(4.0, 2.0, 1.0, "mm", now=(2.8, 3.0, 3.1, 3.2, 3.4), reading=(3.1, 3.1, 2.9, 3.3))
PAST = forecast(now=(0.78, 0.85, 0.92, 1.0, 1.1), left=(-1000, -700, -480, -300, -100), past=0.97)


@given(
    any_forecast(),
    st.sampled_from([(640.0, 14.0), (330.0, 13.0), (420.0, 8.2), (330.0, 16.0)]),
    st.booleans(),
)
@example(forecast(left=(0.0, 0.0, 5e-324, 1.0, 2.0)), (640.0, 14.0), False)
@settings(max_examples=60)
def test_words_never_touch_and_nothing_leaves_the_sheet(
    given_forecast: Drawn, room: tuple[float, float], paper: bool
) -> None:
    """Any part, either way round, fresh or long past, on a tablet, a phone and paper."""
    svg = wear_rule(given_forecast, title="part", width=room[0], size=room[1], paper=paper)
    width, height = size(svg)
    boxes = words(svg)
    for n, one in enumerate(boxes):
        assert one.left >= -0.01 and one.right <= width + 0.01, one
        assert one.top >= -0.3 * room[1] and one.bottom <= height + 0.01, one
        for other in boxes[:n]:
            apart = (
                one.left >= other.right
                or other.left >= one.right
                or one.top >= other.bottom
                or other.top >= one.bottom
            )
            assert apart, (one, other)
    for ink in ("steel", "tick", "minor", "hatch", "limit", "read", "wide", "half", "now", "wedge"):
        for piece in shapes(svg, ink):
            assert all(-1.0 <= n <= max(width, height) + 1.0 for n in piece), (ink, piece)


def _x_of(svg: str, text: str) -> float:
    """Middle of a figure's graduation: that of its label, where it was not moved aside."""
    one = next(word for word in words(svg) if word.text == text)
    return (one.left + one.right) / 2


@pytest.mark.parametrize(("given_forecast", "figures"), [(CHAIN, ("0.1", "0.4")), (PADS, ("3.5", "2.5"))])
def test_values_stand_where_the_graduation_says(given_forecast: Drawn, figures: tuple[str, str]) -> None:
    """A rule is a scale: the middle of the diamond is at its value by straight proportion between two figures."""
    svg = wear_rule(given_forecast, title="part", width=640.0)
    a, b = (float(figure) for figure in figures)
    xa, xb = (_x_of(svg, figure) for figure in figures)
    value = given_forecast.present.median
    diamond = next(points for points in shapes(svg, "now") if len(points) == 8)
    assert (min(diamond[::2]) + max(diamond[::2])) / 2 == pytest.approx(
        xa + (value - a) / (b - a) * (xb - xa), abs=0.05
    )


@pytest.mark.parametrize(("given_forecast", "figures"), [(CHAIN, ("0.1", "0.4")), (PADS, ("3.5", "2.5"))])
def test_the_limit_stands_where_the_graduation_says(given_forecast: Drawn, figures: tuple[str, str]) -> None:
    """The engraved limit is on the same scale as the figures."""
    svg = wear_rule(given_forecast, title="part", width=640.0)
    a, b = (float(figure) for figure in figures)
    xa, xb = (_x_of(svg, figure) for figure in figures)
    limit = given_forecast.law.limit
    assert shapes(svg, "limit")[0][0] == pytest.approx(xa + (limit - a) / (b - a) * (xb - xa), abs=0.05)


@given(any_forecast())
@settings(max_examples=40)
def test_no_figure_crosses_the_limit(given_forecast: Drawn) -> None:
    """The ink of the rule ends at the limit, its figures too."""
    svg = wear_rule(given_forecast, title="part", words=False)
    limit, (_, top, _, high) = shapes(svg, "limit")[0][0], shapes(svg, "steel")[0]
    on_steel = [word for word in words(svg) if top <= word.top and word.bottom <= top + high]
    assert all(word.right <= limit + 0.01 for word in on_steel)


def test_new_is_left_and_the_limit_right_whichever_way_the_part_reads() -> None:
    """A pad that reads less and a chain that reads more run the same way."""
    for one in (CHAIN, PADS):
        svg = wear_rule(one, title="part", width=640.0)
        limit = next(iter(shapes(svg, "limit")))[0]
        assert next(word for word in words(svg) if word.text.startswith("new")).left < 40.0
        assert limit > 520.0
        assert all(x <= limit + 0.01 for x, *_ in shapes(svg, "tick")), "no ink past the limit"
        assert all(x1 >= limit - 0.01 for x1, _, _, _ in shapes(svg, "hatch"))


def test_the_bracket_is_as_wide_as_the_doubt_of_the_reading() -> None:
    """From the lowest to the highest that the reading leaves open, by the rule's own scale."""
    svg = wear_rule(CHAIN, title="chain", width=640.0)
    xs = shapes(svg, "read")[0][::2]
    x1, x4 = _x_of(svg, "0.1"), _x_of(svg, "0.4")
    a_percent = (x4 - x1) / 0.3
    assert min(xs) == pytest.approx(x1 + (0.46 - 0.1) * a_percent, abs=0.05)
    assert max(xs) == pytest.approx(x1 + (0.79 - 0.1) * a_percent, abs=0.05)


def test_an_open_end_has_an_arrow_and_no_leg() -> None:
    """'0.75 or more' is not drawn as if it ended somewhere."""
    closed = shapes(wear_rule(CHAIN, title="chain", words=False), "read")
    opened = shapes(wear_rule(forecast(reading=(0.75, None, 0.7, None)), title="chain", words=False), "read")
    assert [len(points) for points in closed] == [8]
    assert sorted(len(points) for points in opened) == [6, 6]


def test_past_the_limit_there_is_no_wedge_and_the_words_say_so() -> None:
    """Nothing is forecast for a part that should be off already."""
    svg = wear_rule(PAST, title="chain", words=False)
    assert shapes(svg, "wedge") == []
    assert "past its limit of 0.75 %, for about 480 km" in told(svg)
    assert len(shapes(wear_rule(CHAIN, title="chain", words=False), "wedge")) > 5


def test_wear_far_beyond_the_rule_is_an_arrow_and_no_place_on_it() -> None:
    """A chain at three times its limit is not drawn as if it ended where the rule ends."""
    svg = wear_rule(forecast(now=(2.0, 2.1, 2.2, 2.3, 2.4), past=1.0), title="chain", words=False)
    assert [len(points) for points in shapes(svg, "now")] == [6]


def test_the_wedge_fades_and_ends_at_the_limit() -> None:
    """What is far ahead is known less."""
    svg = wear_rule(CHAIN, title="chain", words=False)
    ends = [max(points[::2]) for points in shapes(svg, "wedge")]
    opacities = [
        float(part.split('"')[0])
        for part in svg.split('class="wr-wedge"')[1:]
        for part in [part.split('fill-opacity="')[1]]
    ]
    assert ends == sorted(ends) and ends[-1] == pytest.approx(shapes(svg, "limit")[0][0], abs=0.02)
    assert opacities == sorted(opacities, reverse=True)


def test_all_that_is_drawn_is_also_said() -> None:
    """For a reader who listens: marks, reading, belief, forecast with use and days."""
    assert told(wear_rule(CHAIN, title="chain")) == (
        "new 0, warning at 0.5, limit 0.75 %; read between 0.5 and 0.75 %; now about 0.58 % (likely 0.5 to "
        "0.66); "
        "limit in about 640 km (likely 310 to 1,000), about 14 Feb 2027 (likely 20 Dec 2026 to 9 Apr 2027)."
    )


def test_no_colour_is_needed_and_the_page_gives_the_ink() -> None:
    """On the screen nothing has a colour of its own, so light and dark both read."""
    svg = wear_rule(CHAIN, title="chain")
    assert "#" not in svg.replace('aria-labelledby="', "") and "currentColor" in svg and "style" not in svg


def test_a_title_with_signs_is_escaped() -> None:
    """An owner's words can't break the page."""
    svg = wear_rule(CHAIN, title='chain <script>"&')
    assert "<script" not in svg and size(svg)[0] == 640.0


def test_what_is_not_within_ten_years_is_said_so() -> None:
    """No end to the days, to the use, or to both: said in words, never as 'about not within'."""
    said = told(wear_rule(forecast(days=("2026-12-20", None, None)), title="chain"))
    assert said.endswith(", not within ten years (likely 20 Dec 2026 to later than ten years ahead).")
    assert told(wear_rule(forecast(days=(None, None, None)), title="chain")).endswith(
        ", not within ten years."
    )
    endless = told(wear_rule(forecast(left=(310.0, 500.0, 640.0, inf, inf)), title="chain"))
    assert "in about 640 km (likely 310 or more)" in endless


def test_a_limit_at_new_is_refused() -> None:
    """There is no rule between two ends that are one."""
    with pytest.raises(InputRefused, match="new and limit are both 0 %"):
        wear_rule(forecast(limit=0.0), title="chain")


def test_the_figure_from_which_it_is_not_ridden_stands_on_the_rule_and_in_words() -> None:
    """Past its limit a pad has a little way to bare metal: where that lies, and how far off it is."""
    pads = forecast(
        2.5, 1.0, 0.5, "mm", now=(0.3, 0.35, 0.4, 0.44, 0.5), left=(-300, -200, -90, -50, 0), past=0.9,
        danger=0.2, to_danger=(60, 120, 180, 300, 400), past_danger=0.03,
    )  # fmt: skip
    svg = wear_rule(pads, title="pads")
    assert "unsafe 0.2" in [word.text for word in words(svg)]
    assert len(shapes(svg, "limit")) == 2
    assert "unsafe from 0.2 mm" in told(svg) and "nobody rides it from 0.2 mm on, in about 180 km" in told(
        svg
    )
    plain = wear_rule(forecast(2.5, 1.0, 0.5, "mm", now=(0.3, 0.35, 0.4, 0.44, 0.5), past=0.9), title="pads")
    assert "unsafe" not in told(plain) and len(shapes(plain, "limit")) == 1
