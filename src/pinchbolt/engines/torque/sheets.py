"""The torque sheets of many bikes in one call: window, tool and setting of every joint, by the rules of `window` and `best_setting`."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.torque.many import (
    NANO,
    PARTS,
    Floats,
    Whole,
    down,
    nearest,
    settings_of_many,
    up,
    windows_of_many,
)
from pinchbolt.engines.torque.safe_window import counts_as_untested, deviation_on, grid, lowest_tested
from pinchbolt.engines.torque.torque_types import ToolSpec
from pinchbolt.engines.torque.window import ROOM_FOR_THE_TOOL
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

NO_TOOL = -1


@dataclass(frozen=True, slots=True)
class SheetsOfMany:
    """One entry a joint. `tool` is the place of the tool in the list given, -1 where none is sure; the others are then nan.

    `bolt_least` to `bolt_greatest` is what the bolt may get. Torque in N·m.
    """

    floor: Floats
    cap: Floats
    tool: Whole
    set: Floats
    bolt_least: Floats
    bolt_greatest: Floats


def sheets_of_many(
    table_least: Floats,
    table_greatest: Floats,
    usual: Floats,
    marked_least: Floats,
    marked_greatest: Floats,
    tools: Sequence[ToolSpec],
    today: date,
) -> SheetsOfMany:
    """Return window, tool and setting for many joints at once, as `window` and `best_setting` give them one by one.

    Of the tools with a safe setting: those tested and within their recalibration date first, then the setting nearest the aim, then
    the smaller deviation, then the order given.

    Args:
        table_least: Least of the table in force, a joint each. [N·m]
        table_greatest: Greatest of the table in force, a joint each. [N·m]
        usual: Usual torque of the table in force, a joint each. [N·m]
        marked_least: A row a joint, a column a clamped part; nan where nothing is marked. [N·m]
        marked_greatest: As *marked_least*. [N·m]
        tools: Torque tools at hand. [N·m]
        today: Day of use; past its date a tool counts as 15 % out. [date]

    Returns:
        Window, tool, setting and what the bolt may get, an entry a joint. [N·m]

    Raises:
        InputRefused: Shapes that do not go together, or a torque or a tool with impossible figures.

    Valid for: Joints whose table may stand in for the maker, without named targets. Torques up to 1000 N·m, answers to a
        thousand-millionth of a N·m on the safe side.

    Source: As for `window` and `best_setting`.
    """
    if usual.shape != table_least.shape:
        raise InputRefused(worded("tables of different length: one usual torque a joint. Correct the input."))
    floor, cap = windows_of_many(table_least, table_greatest, marked_least, marked_greatest)
    aim = _aims(floor, cap, usual)
    best = _Best(len(floor))
    for at, tool in enumerate(tools):
        best.take(at, tool, today, _chosen(floor, cap, aim, tool, today), aim)
    out = np.array([deviation_on(tool, today) for tool in tools] or [0.0])[best.tool]
    return SheetsOfMany(floor, cap, best.tool, best.set, best.set / (1 + out), best.set / (1 - out))


def _aims(floor: Floats, cap: Floats, usual: Floats) -> Floats:
    """The usual torque a tenth off either end, or mid-way where the window is too narrow for that."""
    low, high = floor * ROOM_FOR_THE_TOOL, cap / ROOM_FOR_THE_TOOL
    return np.where(low > high, (floor + cap) / 2, np.minimum(np.maximum(usual, low), high))


def _chosen(floor: Floats, cap: Floats, aim: Floats, tool: ToolSpec, today: date) -> Floats:
    """The safe setting of one tool nearest the aim, the lower of two alike; nan where none is safe."""
    deviation = np.array(deviation_on(tool, today))
    listed = grid(tool).listed
    if listed:
        return _of_listed(floor, cap, aim, np.array([float(value) for value in listed]), deviation)
    values = (tool.least, tool.greatest, deviation, tool.step, lowest_tested(tool))
    lowest, highest = settings_of_many(floor, cap, *(np.array(value) for value in values))
    none = np.isnan(lowest)
    low, high = nearest(np.where(none, 0.0, lowest) * NANO), nearest(np.where(none, 0.0, highest) * NANO)
    wanted, stride = np.clip(nearest(aim * NANO), low, high), nearest(np.array(tool.step) * NANO)
    # ceil(steps - 1/2): of two settings as near, the lower.
    steps = -((stride - 2 * (wanted - low)) // (2 * stride))
    return np.where(none, np.nan, (low + steps * stride) / NANO)


def _of_listed(floor: Floats, cap: Floats, aim: Floats, listed: Floats, deviation: Floats) -> Floats:
    out = up(deviation * PARTS)
    shown = nearest(listed * NANO)[:, None]
    safe = (shown * PARTS >= up(floor * NANO) * (PARTS + out)) & (
        shown * PARTS <= down(cap * NANO) * (PARTS - out)
    )
    away = np.where(safe, np.abs(shown - nearest(aim * NANO)), np.iinfo(np.int64).max)
    picked: NDArray[np.int64] = np.argmin(away, axis=0)
    return np.where(safe.any(axis=0), listed[picked], np.nan)


class _Best:
    """The best tool of each joint so far."""

    def __init__(self, joints: int) -> None:
        self.tool = np.full(joints, NO_TOOL)
        self.set = np.full(joints, np.nan)
        self._overdue = np.ones(joints, dtype=bool)
        self._away = np.full(joints, np.iinfo(np.int64).max)
        self._out = np.full(joints, np.inf)

    def take(self, at: int, tool: ToolSpec, today: date, chosen: Floats, aim: Floats) -> None:
        """Take the tool where it does better than those before it."""
        there = ~np.isnan(chosen)
        away = np.abs(nearest(np.where(there, chosen, 0.0) * NANO) - nearest(aim * NANO))
        late, out = counts_as_untested(tool, today), deviation_on(tool, today)
        as_late = self._overdue == late
        nearer = as_late & ((away < self._away) | ((away == self._away) & (out < self._out)))
        better = there & ((self.tool == NO_TOOL) | (self._overdue & (not late)) | nearer)
        self.tool = np.where(better, at, self.tool)
        self.set = np.where(better, chosen, self.set)
        self._overdue = np.where(better, late, self._overdue)
        self._away = np.where(better, away, self._away)
        self._out = np.where(better, out, self._out)
