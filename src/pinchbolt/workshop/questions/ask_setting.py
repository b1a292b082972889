"""One torque question by itself, without a bike: a window and any tool, on the tool's own scale."""

from dataclasses import dataclass
from datetime import date
from math import inf, nextafter

from pinchbolt.engines.torque import (
    ConflictInJoint,
    JointSpec,
    JointWindow,
    NoSafeSetting,
    Setting,
    ToolSpec,
    TorqueRange,
    best_setting,
    delivered,
    finest_deviation,
    lowest_tested,
    settings,
    torque_in,
    unit_named,
    window,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import number

N_M = "N·m"
_FINE_STEP = 0.01  # N·m
_STEP = 0.1
_STEPS = {"kgf·cm": 1.0}  # a tenth of a kgf·cm is a hundredth of a N·m: no scale has that
_BEST_THERE_IS = 0.5
"""No torque tool of a workshop is this good: 0.06 is a share, typed for 6 %. In percent; from memory."""


@dataclass(frozen=True, slots=True)
class SettingRequest:
    """What a joint accepts, and a tool by its range, step and greatest deviation, all in `unit`; N·m if left out. [%]

    `step` left out is what such a scale usually has. `steps` are the only settings of a preset tool. An adapter of so many
    mm stands at an angle to the handle (0: in line and longer) of a tool of so many mm from its drive to its grip mark.
    `due` is the tool's recalibration date.
    """

    floor: float
    cap: float
    tool_least: float
    tool_greatest: float
    deviation_percent: float
    step: float | None = None
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

    `on_scale` says the same in the unit that was asked in; so do the words.
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


def tool_setting(request: SettingRequest, today: date) -> SettingView:
    """Return where a tool is safe for a window.

    All is worked in the unit of the scale, so that a mark that is exactly at a limit stays exactly at it.

    Raises:
        InputRefused: Not above 0, a deviation that no tool has, or an adapter that cannot be.
        NoSafeAnswer: One part asks for more than another allows, or the tool is too coarse or does not reach the window.
    """
    unit = _unit(request.unit)
    per_unit = 1 / torque_in(1.0, unit) if unit != N_M else 1.0
    _refuse(request, unit, per_unit)
    gain = _gain(request)
    try:
        found, fine, setting = _answer(request, unit, per_unit, gain, today)
    except NoSafeSetting as none:
        errors = {field: in_unit(words, unit) for field, words in none.errors.items()}
        raise NoSafeSetting(in_unit(none.sentence, unit), errors, finest=none.finest) from None
    lowest, highest = settings(found.floor, found.cap, fine, today)
    # A mark of the scale that is just at a limit lies between two hundredths.
    lowest, highest = min(lowest, setting.set), max(highest, setting.set)
    return SettingView(
        settable=True,
        lowest=lowest * per_unit,
        highest=highest * per_unit,
        set=setting.set * per_unit,
        bolt_least=setting.applies.low * gain * per_unit,
        bolt_greatest=setting.applies.high * gain * per_unit,
        because=_because(request, setting, gain, unit),
        on_scale=OnScale(unit, round(setting.lowest, 6), round(setting.highest, 6), round(setting.set, 6)),
        warnings=tuple(in_unit(words, unit) for words in _warnings(request, setting, found.floor)),
    )


def in_unit(words: str, unit: str) -> str:
    """Return a sentence of the engine, whose figures were worked in another unit, with that unit's name."""
    return words.replace(f" {N_M}", f" {unit}")


def _answer(
    request: SettingRequest, unit: str, per_unit: float, gain: float, today: date
) -> tuple[JointWindow, ToolSpec, Setting]:
    """The window at the tool's drive, the tool on a fine scale and its setting, all in the unit of the scale."""
    floor, cap = _at_the_drive(request, gain)
    found = window(
        JointSpec(
            "asked", "joint", ("joint",), TorqueRange(floor, cap, (floor + cap) / 2, worded("as given"))
        )
    )
    tool = _tool(request, request.step or _STEPS.get(unit, _STEP))
    fine = tool if tool.steps else _tool(request, _FINE_STEP / per_unit)
    return found, fine, best_setting(found, [tool], today)


def _at_the_drive(request: SettingRequest, gain: float) -> tuple[float, float]:
    """What the drive of the tool may give so that the bolt gets what it accepts; rounded to the safe side."""
    if gain == 1.0:
        return request.floor, request.cap
    floor, cap = nextafter(request.floor / gain, inf), nextafter(request.cap / gain, 0.0)
    if floor > cap:
        raise NoSafeSetting(
            worded(
                "No safe setting: the joint takes {floor:g} N·m and nothing else, and no mark of "
                "this tool gives exactly that through the adapter. Ask the maker for a range.",
                floor=request.floor,
            ),
            finest=finest_deviation(request.floor, request.cap),
        )
    return floor, cap


def _unit(written: str) -> str:
    try:
        return unit_named(written)
    except InputRefused as refusal:
        raise InputRefused(refusal.sentence, {"unit": refusal.sentence}) from None


def _refuse(request: SettingRequest, unit: str, per_unit: float) -> None:
    out = request.deviation_percent
    if not 0 <= out < 100 or 0 < out < _BEST_THERE_IS:
        sentence = worded(
            "The deviation is {out:g} %: a torque tool is {best_there_is:g} to below 100 % out, "
            "or 0 for one that is taken as exact. Write 6 for a tool that is 6 % out.",
            out=out,
            best_there_is=_BEST_THERE_IS,
        )
        raise InputRefused(sentence, {"deviation_percent": sentence})
    number(request.floor * per_unit, "floor", worded("The least torque"), 0.1, 400, "N·m")
    number(request.cap * per_unit, "cap", worded("The greatest torque"), 0.1, 400, "N·m")
    if request.step is not None and not request.steps:
        number(request.step * per_unit, "step", worded("The step of the scale"), 0.01, 10, "N·m")
    if request.floor > request.cap:
        sentence = worded(
            "One part asks for at least {floor:g} {unit} and another allows at most {cap:g} "
            "{unit}, so no torque suits both. Read both markings again and ask both makers, or "
            "fit parts that go together; a person decides.",
            floor=request.floor,
            unit=unit,
            cap=request.cap,
        )
        raise ConflictInJoint(
            sentence,
            {
                "floor": worded(
                    "at least {floor:g} {unit} is asked for by the part with the greater least value",
                    floor=request.floor,
                    unit=unit,
                ),
                "cap": worded(
                    "at most {cap:g} {unit} is allowed by the part with the smaller greatest value",
                    cap=request.cap,
                    unit=unit,
                ),
            },
        )


def _gain(request: SettingRequest) -> float:
    """Torque on the bolt for each N·m that the wrench shows."""
    if not request.adapter_mm:
        return 1.0
    if request.arm_mm is None:
        sentence = worded(
            "An adapter without its wrench's arm says nothing: measure from the drive to the "
            "grip mark, in mm."
        )
        raise InputRefused(sentence, {"arm_mm": sentence})
    if not -360 <= request.angle_deg <= 360:
        sentence = worded(
            "The angle is {angle_deg:g}°: -360 to 360 is possible. 0 is in line, 90 square, 180 turned back.",
            angle_deg=request.angle_deg,
        )
        raise InputRefused(sentence, {"angle_deg": sentence})
    return delivered(1.0, request.arm_mm, request.adapter_mm, request.angle_deg)


def _because(request: SettingRequest, setting: Setting, gain: float, unit: str) -> str:
    if gain == 1.0:
        return in_unit(setting.reasons[0].words, unit)
    got = worded(
        "{low:.2f} to {high:.2f} {unit}",
        low=setting.applies.low * gain,
        high=setting.applies.high * gain,
        unit=unit,
    )
    return worded(
        "An adapter of {adapter_mm:g} mm at {angle_deg:g}° on an arm of {arm_mm:g} mm gives "
        "the bolt {gain:.4g} times what the wrench shows: set to {set:.4g} {unit} it gives "
        "{got}; the joint accepts {floor:g} to {cap:g} {unit}.",
        adapter_mm=request.adapter_mm,
        angle_deg=request.angle_deg,
        arm_mm=request.arm_mm,
        gain=gain,
        set=setting.set,
        unit=unit,
        got=got,
        floor=request.floor,
        cap=request.cap,
    )


def _warnings(request: SettingRequest, setting: Setting, floor: float) -> list[str]:
    # A tool described in a question has no record, so its missing date says nothing.
    found = list(setting.warnings) if request.due is not None else []
    fifth = lowest_tested(_tool(request, _STEP))
    low_end = max(request.tool_least, floor * (1 + request.deviation_percent / 100))
    if not request.steps and low_end < fifth:
        found.append(
            worded(
                "Under {fifth:.3g} N·m, a fifth of this tool's greatest value, nothing is promised: "
                "settings below it are left out.",
                fifth=fifth,
            )
        )
    if request.steps and (request.tool_least, request.tool_greatest) != (
        min(request.steps),
        max(request.steps),
    ):
        found.append(
            worded("The range that was given is passed over: a preset tool has its own values and no others.")
        )
    return found


def _tool(request: SettingRequest, step: float) -> ToolSpec:
    return ToolSpec(
        "asked",
        worded("this tool"),
        request.tool_least,
        request.tool_greatest,
        request.deviation_percent / 100,
        step,
        request.steps,
        request.due,
    )
