"""A certificate tells what to expect at a setting between its points, and narrows no promise."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.torque import Governs, JointWindow, ToolSpec, best_setting, deviation_at, judge_done

TODAY = date(2026, 11, 28)
# Shown 2.8, 8.4 and 14 N·m; true 2.7, 8.3 and 14.1: worked by hand as (shown - true) / true.
POINTS = ((2.8, 0.1 / 2.7), (8.4, 0.1 / 8.3), (14.0, -0.1 / 14.1))
WRENCH = ToolSpec("w", "small click wrench", 2.0, 14.0, 0.06, due=date(2027, 6, 1), points=POINTS)
BY = Governs(0.0, "trade table", "as given")
FACE = JointWindow("face", 4.0, 7.0, 5.6, BY, BY, (4.0, 7.0), ())


@pytest.mark.parametrize(
    ("shown", "expected"),
    [(2.8, 0.037037), (8.4, 0.012048), (5.6, 0.024543), (14.0, -0.007092), (11.2, 0.002478)],
)
def test_between_two_points_it_goes_straight(shown: float, expected: float) -> None:
    """Half way it is the mean of both: (3.7037 + 1.2048) / 2 = 2.4543 %, (1.2048 - 0.7092) / 2 = 0.2478 %."""
    assert deviation_at(WRENCH, shown) == pytest.approx(expected, abs=5e-7)


@pytest.mark.parametrize("shown", [2.7, 14.1])
def test_outside_its_points_nothing_is_known(shown: float) -> None:
    """Nor without any points."""
    assert deviation_at(WRENCH, shown) is None
    assert deviation_at(replace(WRENCH, points=()), 5.6) is None


@given(st.permutations(POINTS), st.floats(2.8, 14.0))
def test_the_order_of_its_points_does_not_matter(points: list[tuple[float, float]], shown: float) -> None:
    """And what is between two points lies between their deviations."""
    found = deviation_at(replace(WRENCH, points=tuple(points)), shown)
    assert found is not None and found == deviation_at(WRENCH, shown)
    least, most = min(one for _, one in POINTS), max(one for _, one in POINTS)
    assert least - 1e-12 <= found <= most + 1e-12


def test_a_setting_that_stands_twice_counts_by_its_mean() -> None:
    """4 % too much and 2 % too little at 2.8: 1 % too much there, and so just beside it, whichever came first."""
    for points in (((2.8, 0.04), (2.8, -0.02), (8.4, 0.01)), ((2.8, -0.02), (8.4, 0.01), (2.8, 0.04))):
        twice = replace(WRENCH, points=points)
        assert deviation_at(twice, 2.8) == pytest.approx(0.01)
        assert deviation_at(twice, 2.81) == pytest.approx(0.01)


def test_the_setting_says_what_to_expect_and_promises_no_more() -> None:
    """5.6 shown, 2.45 % too much: about 5.47 N·m; the ends are still those of the class."""
    plain = best_setting(FACE, [replace(WRENCH, points=())], TODAY)
    found = best_setting(FACE, [WRENCH], TODAY)
    assert (found.set, found.lowest, found.highest, found.applies) == (
        plain.set,
        plain.lowest,
        plain.highest,
        plain.applies,
    )
    assert found.set == 5.6 and len(found.reasons) == len(plain.reasons) + 1
    assert "2.5 % too much at 5.6 N·m: expect about 5.47 N·m" in found.reasons[-1].words
    assert "its class, 6.0 % either way" in found.reasons[-1].words


def test_a_done_value_says_it_too() -> None:
    """At the last point it shows too little: 14 shown were 14.1; where it shows what is true, that is said."""
    wide = replace(FACE, cap=30.0)
    assert "0.7 % too little at 14 N·m: expect about 14.1 N·m" in judge_done(wide, WRENCH, 14.0, TODAY).words
    true = replace(WRENCH, points=((2.8, 0.0), (14.0, 0.0)))
    assert judge_done(wide, true, 5.6, TODAY).words.endswith("shows at 5.6 N·m what is true.")
    assert "certificate" not in judge_done(wide, WRENCH, 2.6, TODAY).words
