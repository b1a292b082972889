"""What a crow-foot between wrench and nut does to the setting, with the arms that were measured here."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from pinchbolt.engines.torque import JointWindow, NoSafeSetting, Setting, ToolSpec, best_setting, delivered
from pinchbolt.values.wording import worded

_CROW_FOOT = "crowfoot"


def with_crow_foot(
    drives: Iterable[str],
    window: JointWindow,
    setting: Setting,
    tools: Iterable[ToolSpec],
    adapters: Mapping[str, float],
    today: date,
) -> tuple[str, ...]:
    """Return what is to be said where a joint may be turned by a crow-foot; adapters by drive, drive to bolt. [mm]"""
    feet = [drive for drive in drives if drive.startswith(_CROW_FOOT)]
    if not feet:
        return ()
    square = worded(
        "With a {feet} square to the handle the setting stays {set:g} N·m", feet=feet[0], set=setting.set
    )
    tool = next((one for one in tools if one.id == setting.tool), None)
    length = adapters.get(feet[0])
    if tool is None or tool.arm is None or length is None:
        return (
            worded(
                "{square}; in line it gives the nut more. Use it square, or measure the wrench from "
                "drive to grip mark and the crow-foot from drive to nut, and hang both with their "
                "arms.",
                square=square,
            ),
        )
    gain = delivered(1.0, tool.arm, length)
    in_line = replace(window, floor=window.floor / gain, cap=window.cap / gain, aim=window.aim / gain)
    try:
        found = best_setting(in_line, [tool], today)
    except NoSafeSetting:
        return (worded("{square}; in line no mark of this wrench is sure: use it square.", square=square),)
    return (
        worded(
            "{square}; in line ({length:g} mm on {arm:g} mm) set {set:g} N·m.",
            square=square,
            length=length,
            arm=tool.arm,
            set=found.set,
        ),
    )
