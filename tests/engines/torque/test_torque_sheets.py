"""Sheets of many bikes in one call answer as one joint does."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from pinchbolt.engines.torque import (
    NO_TOOL,
    JointSpec,
    NoSafeSetting,
    SheetsOfMany,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
    best_setting,
    sheets_of_many,
    window,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer

TODAY = date(2026, 11, 25)
TOOLS = (
    ToolSpec("preset", "preset keys", 4.0, 6.0, 0.06, steps=(4.0, 5.0, 6.0)),
    ToolSpec("small", "small click wrench", 2.0, 14.0, 0.04, 0.1, due=date(2026, 9, 16)),
    ToolSpec("middle", "middle click wrench", 5.0, 25.0, 0.04, 0.25, due=date(2027, 2, 1)),
    ToolSpec("large", "large click wrench", 10.0, 60.0, 0.04, 0.5),
    ToolSpec("driver", "torque screwdriver", 0.5, 5.0, 0.06, 0.1, due=date(2026, 9, 1)),
)


def drawn(count: int, seed: int) -> tuple[np.ndarray, ...]:  # type: ignore[type-arg]
    """Joints of two parts, figures as they are printed."""
    draw = np.random.default_rng(seed)
    least = np.round(draw.uniform(1, 35, count), 1)
    greatest = np.round(least * draw.uniform(1.1, 1.9, count), 1)
    usual = np.round((least + greatest) / 2, 1)
    top = np.where(
        draw.random((count, 2)) < 0.6, np.nan, np.round(least[:, None] * draw.uniform(0.9, 2, (count, 2)), 1)
    )
    low = np.where(draw.random((count, 2)) < 0.7, np.nan, np.round(top * draw.uniform(0.5, 1, (count, 2)), 1))
    return least, greatest, usual, low, top


def joint_at(at: int, least, greatest, usual, low, top) -> JointSpec:  # type: ignore[no-untyped-def]
    """The same joint, as the single question takes it."""
    marks = tuple(
        TorqueMarking(part, float(top[at, n]), None if np.isnan(low[at, n]) else float(low[at, n]))
        for n, part in enumerate("ab")
        if not np.isnan(top[at, n])
    )
    table = TorqueRange(float(least[at]), float(greatest[at]), float(usual[at]), "drawn")
    return JointSpec("j", "joint", ("a", "b"), table, None, marks)


def check_alike(many: SheetsOfMany, at: int, asked: JointSpec) -> str:
    """Hold one entry against the single answer; says what kind it was."""
    try:
        accepted = window(asked)
    except NoSafeAnswer:
        assert many.floor[at] > many.cap[at] and many.tool[at] == NO_TOOL and np.isnan(many.set[at])
        return "conflict"
    try:
        one = best_setting(accepted, TOOLS, TODAY)
    except NoSafeSetting:
        assert many.tool[at] == NO_TOOL and np.isnan(many.set[at])
        return "none safe"
    assert (many.floor[at], many.cap[at]) == (accepted.floor, accepted.cap)
    assert TOOLS[many.tool[at]].id == one.tool, at
    assert many.set[at] == pytest.approx(one.set, abs=1e-9)
    assert many.bolt_greatest[at] == pytest.approx(one.applies.high, rel=1e-12)
    assert accepted.floor <= many.bolt_least[at] * (1 + 1e-12)
    assert many.bolt_greatest[at] * (1 - 1e-12) <= accepted.cap
    return one.tool


def test_every_entry_is_the_answer_of_the_single_joint() -> None:
    """2,000 drawn joints, seed fixed: window, tool and setting alike; all tools, conflicts and refusals occur."""
    held = drawn(2000, 5)
    many = sheets_of_many(*held, TOOLS, TODAY)
    kinds = {check_alike(many, at, joint_at(at, *held)) for at in range(2000)}
    assert kinds == {"conflict", "none safe", *(tool.id for tool in TOOLS)}


def test_a_tool_in_date_is_taken_before_one_that_is_not() -> None:
    """However near the late one comes to the aim."""
    one = tuple(np.array([value]) for value in (4.0, 7.0, 5.0))
    none = np.full((1, 1), np.nan)
    late = replace(TOOLS[1], id="late", step=0.1)
    coarse = ToolSpec("coarse", "coarse wrench", 0.0, 25.0, 0.04, 1.5, due=date(2027, 1, 1))
    many = sheets_of_many(*one, none, none, (late, coarse), TODAY)
    assert many.tool[0] == 1


def test_without_tools_nothing_is_set() -> None:
    """And tables of different length are refused."""
    one = tuple(np.array([value]) for value in (4.0, 6.0, 5.0))
    none = np.full((1, 1), np.nan)
    assert sheets_of_many(*one, none, none, (), TODAY).tool[0] == NO_TOOL
    with pytest.raises(InputRefused, match="tables of different length"):
        sheets_of_many(one[0], one[1], np.array([5.0, 5.0]), none, none, TOOLS, TODAY)
