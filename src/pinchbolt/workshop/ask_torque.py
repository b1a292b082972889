"""One torque question by itself, without a bike: a window and any tool, or a joint of the table and the tools here."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from pinchbolt.engines.torque import (
    JointAsked,
    JointWindow,
    Marking,
    Setting,
    ToolAsked,
    TorqueRange,
    best_setting,
    settings,
    window,
)
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.checks import number
from pinchbolt.workshop.torque_sheet import any_torque, joint_row

_FINE_STEP = 0.01


@dataclass(frozen=True, slots=True)
class SettingAsked:
    """What a joint accepts, and a tool by its range, step and greatest deviation. [N·m, %]"""

    floor: float
    cap: float
    tool_least: float
    tool_greatest: float
    deviation_percent: float
    step: float = 0.1


@dataclass(frozen=True, slots=True)
class SettingSeen:
    """The safe range of settings to a hundredth, where to set the tool by its steps, and what the bolt may get. [N·m]"""

    settable: bool
    lowest: float
    highest: float
    set: float
    bolt_least: float
    bolt_greatest: float
    because: str


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """What a joint accepts and why, and the tool of this workshop to take. [N·m]"""

    window: JointWindow
    setting: Setting


def tool_setting(asked: SettingAsked, today: date) -> SettingSeen:
    """Return where a tool is safe for a window.

    Raises:
        InputRefused: Ends reversed, not above 0, or a deviation outside 0 to 100 %.
        NoSafeAnswer: The tool is too coarse for this window, or does not reach it.
    """
    if not 0 <= asked.deviation_percent < 100:
        sentence = f"The deviation is {asked.deviation_percent:g} %: 0 to below 100 % is possible. Write 6 for a tool that is 6 % out."
        raise InputRefused(sentence, {"deviation_percent": sentence})
    number(asked.floor, "floor", "The least torque", 0.1, 400, "N·m")
    number(asked.cap, "cap", "The greatest torque", 0.1, 400, "N·m")
    number(asked.step, "step", "The step of the scale", 0.01, 10, "N·m")
    if asked.floor > asked.cap:
        sentence = f"The joint is {asked.floor:g} to {asked.cap:g} N·m: the least must not be above the greatest. Swap them."
        raise InputRefused(sentence, {"floor": sentence})
    middle = (asked.floor + asked.cap) / 2
    found = window(
        JointAsked("asked", "joint", ("joint",), TorqueRange(asked.floor, asked.cap, middle, "as given")),
    )
    setting = best_setting(found, [_tool(asked, asked.step)], today)
    lowest, highest = settings(asked.floor, asked.cap, _tool(asked, _FINE_STEP), today)
    return SettingSeen(
        settable=True,
        lowest=lowest,
        highest=highest,
        set=setting.set,
        bolt_least=setting.applies.low,
        bolt_greatest=setting.applies.high,
        because=setting.reasons[0].words,
    )


def _tool(asked: SettingAsked, step: float) -> ToolAsked:
    return ToolAsked(
        "asked", "this tool", asked.tool_least, asked.tool_greatest, asked.deviation_percent / 100, step
    )


def joint_setting(joint: str, markings: Mapping[str, float], today: date) -> JointAnswer:
    """Return what a joint of the table accepts with these markings (greatest, by part), and the tool here to take.

    Raises:
        InputRefused: The joint is not in the table, a part is not in it, or a marking is out of sense.
        NoSafeAnswer: The markings disagree, or no tool here is fine enough.
        Unknown: Only the maker's figure would do.
    """
    row = joint_row(joint)
    for part, greatest in markings.items():
        if part not in row.parts:
            sentence = f'"{part[:40]}" is not clamped by {row.name}: {", ".join(row.parts)}. Choose one.'
            raise InputRefused(sentence, {"marking": sentence})
        number(greatest, "marking", f"The marking on the {part}", 0.1, 120, "N·m")
    read = tuple(Marking(part, greatest) for part, greatest in markings.items())
    found, setting = any_torque(joint, read, today)
    return JointAnswer(found, setting)
