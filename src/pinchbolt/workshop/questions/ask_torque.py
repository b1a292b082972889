"""One torque question by itself, without a bike: a window and any tool, or a joint of the table and the tools here."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import inf, nextafter

from pinchbolt.engines.torque import (
    JointSpec,
    JointWindow,
    Setting,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
    best_setting,
    delivered,
    parse_marking,
    settings,
    torque_in,
    window,
)
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque.bolt_read import BoltView, bolt_view
from pinchbolt.workshop.torque.torque_sheet import joint_row

_FINE_STEP = 0.01
_TESTED_SHARE = 0.2
N_M = "N·m"


@dataclass(frozen=True, slots=True)
class SettingRequest:
    """What a joint accepts, and a tool by its range, step and greatest deviation, all in `unit`; N·m if left out. [%]

    `steps` are the only settings of a preset tool. An adapter of so many mm stands at an angle to the handle (0: in line
    and longer) of a tool of so many mm from its drive to its grip mark. `due` is the tool's recalibration date.
    """

    floor: float
    cap: float
    tool_least: float
    tool_greatest: float
    deviation_percent: float
    step: float = 0.1
    steps: tuple[float, ...] = ()
    unit: str = N_M
    adapter_mm: float = 0.0
    arm_mm: float | None = None
    angle_deg: float = 0.0
    due: date | None = None


@dataclass(frozen=True, slots=True)
class OnScale:
    """The setting as the tool's own scale has it. [unit]"""

    unit: str
    lowest: float
    highest: float
    set: float


@dataclass(frozen=True, slots=True)
class SettingView:
    """The safe range of settings to a hundredth, where to set the tool by its steps, and what the bolt may get. [N·m]

    `on_scale` says the same in the unit that was asked in.
    """

    settable: bool
    lowest: float
    highest: float
    set: float
    bolt_least: float
    bolt_greatest: float
    because: str
    on_scale: OnScale
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """What a joint accepts and why, the tool of this workshop to take, and what that buys in its bolt. [N·m]

    `bolt` is None where the joint's thread is none of the metric ones of the table.
    """

    window: JointWindow
    setting: Setting
    bolt: BoltView | None


def tool_setting(request: SettingRequest, today: date) -> SettingView:
    """Return where a tool is safe for a window.

    Raises:
        InputRefused: Ends reversed, not above 0, a deviation outside 0 to 100 %, or an adapter that cannot be.
        NoSafeAnswer: The tool is too coarse for this window, or does not reach it.
    """
    per_unit = _n_m_per(request.unit)
    _refuse(request, per_unit)
    gain = _gain(request)
    # What the drive of the tool may give so that the bolt gets what it accepts; rounded to the safe side.
    floor, cap = request.floor * per_unit, request.cap * per_unit
    if gain != 1.0:
        floor, cap = nextafter(floor / gain, inf), nextafter(cap / gain, 0.0)
    found = window(
        JointSpec("asked", "joint", ("joint",), TorqueRange(floor, cap, (floor + cap) / 2, "as given")),
    )
    tool = _tool(request, per_unit, request.step * per_unit)
    setting = best_setting(found, [tool], today)
    fine = tool if tool.steps else _tool(request, per_unit, _FINE_STEP)
    lowest, highest = settings(floor, cap, fine, today)
    return SettingView(
        settable=True,
        lowest=lowest,
        highest=highest,
        set=setting.set,
        bolt_least=setting.applies.low * gain,
        bolt_greatest=setting.applies.high * gain,
        because=_because(request, setting, gain),
        on_scale=OnScale(
            request.unit,
            *(round(value / per_unit, 6) for value in (setting.lowest, setting.highest, setting.set)),
        ),
        warnings=tuple(_warnings(request, setting, floor, per_unit)),
    )


def _n_m_per(unit: str) -> float:
    try:
        return 1 / torque_in(1.0, unit) if unit != N_M else 1.0
    except InputRefused as refusal:
        raise InputRefused(refusal.sentence, {"unit": refusal.sentence}) from None


def _refuse(request: SettingRequest, per_unit: float) -> None:
    if not 0 <= request.deviation_percent < 100:
        sentence = f"The deviation is {request.deviation_percent:g} %: 0 to below 100 % is possible. Write 6 for a tool that is 6 % out."
        raise InputRefused(sentence, {"deviation_percent": sentence})
    number(request.floor * per_unit, "floor", "The least torque", 0.1, 400, "N·m")
    number(request.cap * per_unit, "cap", "The greatest torque", 0.1, 400, "N·m")
    number(request.step * per_unit, "step", "The step of the scale", 0.01, 10, "N·m")
    if request.floor > request.cap:
        sentence = f"The joint is {request.floor:g} to {request.cap:g} {request.unit}: the least must not be above the greatest. Swap them."
        raise InputRefused(sentence, {"floor": sentence})


def _gain(request: SettingRequest) -> float:
    """Torque on the bolt for each N·m that the wrench shows."""
    if not request.adapter_mm:
        return 1.0
    if request.arm_mm is None:
        sentence = "An adapter without its wrench's arm says nothing: measure from the drive to the grip mark, in mm."
        raise InputRefused(sentence, {"arm_mm": sentence})
    return delivered(1.0, request.arm_mm, request.adapter_mm, request.angle_deg)


def _because(request: SettingRequest, setting: Setting, gain: float) -> str:
    if gain == 1.0:
        return setting.reasons[0].words
    got = f"{setting.applies.low * gain:.2f} to {setting.applies.high * gain:.2f} N·m"
    return (
        f"An adapter of {request.adapter_mm:g} mm at {request.angle_deg:g}° on an arm of {request.arm_mm:g} mm gives the bolt "
        f"{gain:.4g} times what the wrench shows: set to {setting.set:.4g} N·m it gives {got}; the joint accepts "
        f"{request.floor:g} to {request.cap:g} {request.unit}."
    )


def _warnings(request: SettingRequest, setting: Setting, floor: float, per_unit: float) -> list[str]:
    # A tool described in a question has no record, so its missing date says nothing.
    found = list(setting.warnings) if request.due is not None else []
    fifth = _TESTED_SHARE * request.tool_greatest * per_unit
    low_end = max(request.tool_least * per_unit, floor * (1 + request.deviation_percent / 100))
    if not request.steps and low_end < fifth:
        found.append(
            f"Under {fifth:.3g} N·m, a fifth of this tool's greatest value, nothing is promised: settings below it are left out."
        )
    return found


def _tool(request: SettingRequest, per_unit: float, step: float) -> ToolSpec:
    return ToolSpec(
        "asked",
        "this tool",
        request.tool_least * per_unit,
        request.tool_greatest * per_unit,
        request.deviation_percent / 100,
        step,
        tuple(value * per_unit for value in request.steps),
        request.due,
    )


@dataclass(frozen=True, slots=True)
class MarkingsRead:
    """What is marked on a joint's parts, by part: greatest or only values, least values, and named targets. [N·m]"""

    greatest: Mapping[str, float]
    least: Mapping[str, float]
    target: Mapping[str, float]


def as_printed(part: str, text: str) -> tuple[float, float | None]:
    """Return the greatest or only value that is printed on a part, and the least of a range, in N·m.

    Raises:
        InputRefused: No number, an unknown unit, or a range upside down.
    """
    read = parse_marking(part, text)
    return read.greatest, read.least


def joint_setting(
    joint: str, read: MarkingsRead, today: date, property_class: str = "", preparation: str = ""
) -> JointAnswer:
    """Return what a joint of the table accepts with these markings, the tool here to take, and what it buys.

    Raises:
        InputRefused: The joint is not in the table, a part is not in it, or a marking is out of sense.
        NoSafeAnswer: The markings disagree, or no tool here is fine enough.
        Unknown: Only the maker's figure would do.
    """
    row = joint_row(joint)
    for part, value in (*read.greatest.items(), *read.least.items(), *read.target.items()):
        if part not in row.parts:
            sentence = f'"{part[:40]}" is not clamped by {row.name}: {", ".join(row.parts)}. Choose one.'
            raise InputRefused(sentence, {"marking": sentence})
        number(value, "marking", f"The marking on the {part}", 0.1, 120, "N·m")
    lonely = [part for part in read.least if part not in read.greatest]
    if lonely:
        sentence = f"The {lonely[0]} has a least value alone: a range has a greatest one too. Read it again."
        raise InputRefused(sentence, {"marking": sentence})
    marked = [TorqueMarking(part, most, read.least.get(part)) for part, most in read.greatest.items()]
    marked += [TorqueMarking(part, value, means="target") for part, value in read.target.items()]
    found, setting = _any_torque(joint, tuple(marked), today)
    bolt = bolt_view(row.name, row.thread, property_class, row.prep, preparation, setting.applies)
    return JointAnswer(found, setting, bolt)


def _any_torque(joint: str, markings: tuple[TorqueMarking, ...], today: date) -> tuple[JointWindow, Setting]:
    """Answer one torque question by itself, without a bike: the joint's window and a tool of this workshop.

    Raises:
        InputRefused: The joint is not in the table, or a marking names a part that is not in it.
        NoSafeAnswer: The markings disagree, or no tool here is fine enough.
        Unknown: Only the maker's figure would do.
    """
    row = joint_row(joint)
    table = TorqueRange(row.low, row.high, row.typical, row.source)
    asked = JointSpec(
        row.id,
        row.name,
        row.parts,
        table,
        table if row.from_shop else None,
        markings,
        row.makers_figure_only,
    )
    found = window(asked)
    return found, best_setting(found, torque_tools(), today)
