"""Many joints at once answer as one joint does, and a tool covers only what it is sure of."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from pinchbolt.engines.torque import (
    Governs,
    JointSpec,
    JointWindow,
    NoSafeSetting,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
    coverage,
    settings,
    settings_of_many,
    window,
    windows_of_many,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer

TODAY = date(2025, 6, 2)
NEXT_YEAR = date(2026, 6, 2)


def accepts(floor: float, cap: float, joint: str = "j") -> JointWindow:
    """A window with only its figures."""
    by = Governs(floor, "trade table", "the trade table")
    return JointWindow(joint, floor, cap, (floor + cap) / 2, by, by, (floor, cap), ())


def test_many_windows_are_those_of_the_single_joints() -> None:
    """500 random joints of three parts, seed fixed: same ends, and in conflict where the single joint is refused."""
    draw = np.random.default_rng(11)
    count = 500
    least = np.round(draw.uniform(1, 10, count), 1)
    greatest = least + np.round(draw.uniform(0, 5, count), 1)
    top = np.where(draw.random((count, 3)) < 0.5, np.nan, np.round(draw.uniform(3, 20, (count, 3)), 1))
    low = np.where(draw.random((count, 3)) < 0.6, np.nan, np.round(top * draw.uniform(0.4, 1, (count, 3)), 2))
    floors, caps = windows_of_many(least, greatest, low, top)
    for at in range(count):
        marks = tuple(
            TorqueMarking(
                part, top[at, column], None if np.isnan(low[at, column]) else float(low[at, column])
            )
            for column, part in enumerate("abc")
            if not np.isnan(top[at, column])
        )
        joint = JointSpec(
            "j", "j", ("a", "b", "c"), TorqueRange(least[at], greatest[at], least[at], "drawn"), None, marks
        )
        try:
            one = window(joint)
        except NoSafeAnswer:
            assert floors[at] > caps[at]
        else:
            assert (floors[at], caps[at]) == (one.floor, one.cap)


def test_many_settings_are_those_of_the_single_tools() -> None:
    """2000 random windows and tools in decimals, seed fixed: the same settings, none where the other has none."""
    draw = np.random.default_rng(5)
    count = 2000
    floors = np.round(draw.uniform(0.5, 40, count), 2)
    caps = np.round(floors * draw.uniform(1.0, 1.5, count), 2)
    least, greatest = draw.choice([0.5, 2.0, 5.0], count), draw.choice([14.0, 25.0, 60.0], count)
    deviation, step = draw.choice([0.01, 0.04, 0.06, 0.15], count), draw.choice([0.05, 0.1, 0.25, 0.5], count)
    lowest, highest = settings_of_many(floors, caps, least, greatest, deviation, step)
    for at in range(count):
        tool = ToolSpec("t", "t", least[at], greatest[at], deviation[at], step[at])
        try:
            low, high = settings(floors[at], caps[at], tool, TODAY)
        except NoSafeSetting:
            assert np.isnan(lowest[at])
            assert np.isnan(highest[at])
        else:
            assert (lowest[at], highest[at]) == (
                pytest.approx(low, rel=1e-12),
                pytest.approx(high, rel=1e-12),
            )


def test_a_preset_covers_only_what_it_is_sure_of() -> None:
    """5 / 1.06 = 4.72 to 5 / 0.94 = 5.32: 4 to 6 is covered, 4 to 5 is not (trade page 3.1)."""
    preset = ToolSpec("p", "preset", 4.0, 6.0, 0.06, steps=(4.0, 5.0, 6.0), due=NEXT_YEAR)
    click = ToolSpec("c", "click", 2.0, 14.0, 0.06, due=NEXT_YEAR)
    late = ToolSpec("l", "late", 2.0, 14.0, 0.06, due=date(2025, 1, 1))
    joints = [accepts(4.0, 6.0, "face"), accepts(4.0, 5.0, "post"), accepts(30.0, 50.0, "ring")]
    covered = coverage(joints, [preset, click, late], TODAY)
    assert covered == {"p": {"face"}, "c": {"face", "post"}, "l": {"face"}}
    low = [accepts(10.0, 12.0, "low")]
    large = ToolSpec("g", "large", 10.0, 60.0, 0.04, 0.5, due=NEXT_YEAR)
    assert coverage(low, [large, replace(large, id="w", tested_from=10.0)], TODAY) == {
        "g": set(),
        "w": {"low"},
    }


def test_coverage_of_nothing_is_nothing() -> None:
    """No joints, no tools."""
    click = ToolSpec("c", "click", 2.0, 14.0, 0.06)
    assert coverage([], [click], TODAY) == {"c": frozenset()}
    assert coverage([accepts(4, 6)], [], TODAY) == {}


def test_numbers_that_cannot_be_are_refused() -> None:
    """Negative, not a number, past the range, shapes that do not match."""
    one = np.array([5.0])
    for bad in (np.array([-1.0]), np.array([np.nan]), np.array([1e6])):
        with pytest.raises(InputRefused, match="Correct the joints or the tools"):
            settings_of_many(bad, one, one, one, np.array([0.04]), np.array([0.1]))
    with pytest.raises(InputRefused, match=r"write 4 % as 0\.04"):
        settings_of_many(one, one, one, one, np.array([4.0]), np.array([0.1]))
    with pytest.raises(InputRefused, match="different length"):
        windows_of_many(one, one, np.zeros((2, 1)), np.zeros((2, 1)))
