"""What a joint of the table accepts with what is marked on its parts, and which tool of this workshop to set where."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from pinchbolt.engines.torque import (
    JointSpec,
    JointWindow,
    Setting,
    TorqueMarking,
    TorqueRange,
    best_setting,
    parse_marking,
    window,
)
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque.bolt_read import BoltView, bolt_view
from pinchbolt.workshop.torque.torque_sheet import joint_row


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """What a joint accepts and why, the tool of this workshop to take, and what that buys in its bolt. [N·m]

    `bolt` is None where the joint's thread is none of the metric ones of the table.
    """

    window: JointWindow
    setting: Setting
    bolt: BoltView | None


def as_printed(part: str, text: str) -> TorqueMarking:
    """Return what is printed on a part: the greatest or only value, and the least of a range, in N·m.

    Raises:
        InputRefused: No number, an unknown unit, or a range upside down.
    """
    return parse_marking(part, text)


def markings_by_part(
    greatest: Mapping[str, float], least: Mapping[str, float], target: Mapping[str, float]
) -> tuple[TorqueMarking, ...]:
    """Return what is marked on a joint's parts: greatest or only values, least values, and named targets. [N·m]

    Raises:
        InputRefused: A least value without a greatest one.
    """
    lonely = [part for part in least if part not in greatest]
    if lonely:
        sentence = f"The {lonely[0]} has a least value alone: a range has a greatest one too. Read it again."
        raise InputRefused(sentence, {"marking": sentence})
    limits = (TorqueMarking(part, most, least.get(part)) for part, most in greatest.items())
    return (*limits, *(TorqueMarking(part, value, means="target") for part, value in target.items()))


def joint_setting(
    joint: str,
    markings: Iterable[TorqueMarking],
    today: date,
    property_class: str = "",
    preparation: str = "",
) -> JointAnswer:
    """Return what a joint of the table accepts with these markings, the tool here to take, and what it buys.

    Several markings of one part all count: the smallest greatest value is the cap.

    Raises:
        InputRefused: The joint is not in the table, a part is not in it, or a marking is out of sense.
        NoSafeAnswer: The markings disagree, or no tool here is fine enough.
        Unknown: Only the maker's figure would do.
    """
    row, marked = joint_row(joint), tuple(markings)
    for one in marked:
        if one.part not in row.parts:
            sentence = f'"{one.part[:40]}" is not clamped by {row.name}: {", ".join(row.parts)}. Choose one.'
            raise InputRefused(sentence, {"marking": sentence})
        for value in (one.greatest, one.least):
            if value is not None:
                number(value, "marking", f"The marking on the {one.part}", 0.1, 120, "N·m")
    table = TorqueRange(row.low, row.high, row.typical, row.source)
    shop = table if row.from_shop else None
    found = window(JointSpec(row.id, row.name, row.parts, table, shop, marked, row.makers_figure_only))
    setting = best_setting(found, torque_tools(), today)
    bolt = bolt_view(row.name, row.thread, property_class, row.prep, preparation, setting.applies)
    return JointAnswer(found, setting, bolt)
