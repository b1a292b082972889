"""The same answers for many joints at once: a whole workshop's history, or every joint against every tool.

Whole numbers throughout: torque in nN·m, deviation in hundredths of a per cent. A limit that falls between is taken on
its safe side, so that the answer may lose a thousand-millionth of a newton metre and never gains one.
"""

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.torque.safe_window import (
    LOWEST_TESTED_SHARE,
    deviation_on,
    grid,
    lowest_tested,
    refuse_bad_window,
)
from pinchbolt.engines.torque.torque_types import JointWindow, ToolSpec
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

NANO = 1_000_000_000
PARTS = 10_000
# Above this a binary number no longer tells a thousandth of a nN·m.
GREATEST_TORQUE = 1000.0
# Decimal figures are a few units of the last place off once they are binary; this is what is forgiven. [nN·m]
_BINARY_DUST = 1e-3


def windows_of_many(
    table_least: Floats, table_greatest: Floats, marked_least: Floats, marked_greatest: Floats
) -> tuple[Floats, Floats]:
    """Return floor and cap of many joints; floor above cap where the sources disagree.

    Cap = least of the marked greatest values, and of the table's for every part without one; floor = greatest of the
    marked leasts, the table's where there is none. The rule of `window`, a row a joint.

    Args:
        table_least: Least of the table in force, a joint each. [N·m]
        table_greatest: Greatest of the table in force, a joint each. [N·m]
        marked_least: A row a joint, a column a clamped part; nan where nothing is marked. [N·m]
        marked_greatest: As *marked_least*. [N·m]

    Returns:
        Floor and cap, a joint each. [N·m]

    Raises:
        InputRefused: Shapes that do not go together.

    Valid for: Joints whose table may stand in for the maker; every column is a clamped part of the joint.

    Source: As for `window`.
    """
    joints = marked_greatest.shape[:1]
    if marked_least.shape != marked_greatest.shape or {table_least.shape, table_greatest.shape} != {joints}:
        raise InputRefused(
            worded(
                "tables and markings of different length: one row a joint, one column a part. "
                "Correct the input."
            )
        )
    unmarked = np.isnan(marked_greatest)
    borne = np.where(unmarked, table_greatest[:, None], marked_greatest)
    least = np.max(np.where(np.isnan(marked_least), -np.inf, marked_least), axis=1)
    return np.where(np.isinf(least), table_least, least), np.min(borne, axis=1)


def settings_of_many(
    window_floor: Floats,
    cap: Floats,
    least: Floats,
    greatest: Floats,
    deviation: Floats,
    step: Floats,
    tested_from: Floats | None = None,
) -> tuple[Floats, Floats]:
    """Return lowest and highest safe setting of adjustable tools, nan where none is safe. The arrays broadcast.

    ``floor * (1 + d) <= s <= cap * (1 - d)``, rounded inward to least + k * step, not under what is tested.

    Args:
        window_floor: Least torque of the joint. [N·m]
        cap: Greatest torque of the joint. [N·m]
        least: Lowest mark of the tool. [N·m]
        greatest: Highest mark of the tool. [N·m]
        deviation: Greatest relative deviation of the tool. [-]
        step: Step of the tool's scale. [N·m]
        tested_from: Lowest torque the tool's certificate covers; left out: a fifth of greatest. [N·m]

    Returns:
        Lowest and highest safe setting. [N·m]

    Raises:
        InputRefused: A value not finite, below 0, a step of nought, or a deviation outside 0 to 1.

    Valid for: As for `settings`. Torques up to 1000 N·m.

    Source: Guarded acceptance, JCGM 106:2012, 8.3.2; ISO 6789-1:2017.
    """
    _refuse(window_floor, cap, least, greatest, deviation, step)
    floor_n, cap_n = up(window_floor * NANO), down(cap * NANO)
    origin, stride = nearest(least * NANO), nearest(step * NANO)
    out = up(deviation * PARTS)
    covered = greatest * LOWEST_TESTED_SHARE if tested_from is None else tested_from
    tested = np.maximum(origin, up(covered * NANO))
    # Lowest: ceil(floor (1 + d)); highest: floor(cap (1 - d)); both in nN·m.
    low = -((-floor_n * (PARTS + out)) // PARTS)
    high = (cap_n * (PARTS - out)) // PARTS
    first = -((origin - np.maximum(low, tested)) // stride)
    last = (np.minimum(high, nearest(greatest * NANO)) - origin) // stride
    none = (first > last) | (floor_n > cap_n)
    lowest = np.where(none, np.nan, (origin + first * stride) / NANO)
    highest = np.where(none, np.nan, (origin + last * stride) / NANO)
    return lowest, highest


def coverage(
    windows: Sequence[JointWindow], tools: Sequence[ToolSpec], today: date
) -> Mapping[str, frozenset[str]]:
    """Return for each torque tool the joints that it is sure to keep inside their windows.

    Args:
        windows: Windows of the joints. [N·m]
        tools: Torque tools. [N·m]
        today: Day of use; past its date a tool counts as 15 % out. [date]

    Returns:
        Joint ids by tool id. [-]

    Raises:
        InputRefused: A window or a tool with impossible figures.

    Valid for: Choosing a kit: a preset of 5 N·m covers a joint only if 5 / (1 + d) to 5 / (1 - d) lies in its window.

    Source: As for `settings`.
    """
    for one in windows:
        refuse_bad_window(one.floor, one.cap)
    floors = np.array([one.floor for one in windows], dtype=np.float64)
    caps = np.array([one.cap for one in windows], dtype=np.float64)
    return {
        tool.id: frozenset(
            one.joint for one, sure in zip(windows, _sure(floors, caps, tool, today), strict=True) if sure
        )
        for tool in tools
    }


def _sure(floors: Floats, caps: Floats, tool: ToolSpec, today: date) -> NDArray[np.bool_]:
    """Which windows one tool is sure to meet."""
    listed = grid(tool).listed
    deviation = np.array(deviation_on(tool, today))
    if not listed:
        values = (tool.least, tool.greatest, deviation, tool.step, lowest_tested(tool))
        numbers = (np.array(value) for value in values)
        lowest, _ = settings_of_many(floors, caps, *numbers)
        return ~np.isnan(lowest)
    out = up(deviation * PARTS)
    shown = nearest(np.array([float(value) for value in listed]) * NANO)[:, None] * PARTS
    above = shown >= up(floors * NANO) * (PARTS + out)
    below = shown <= down(caps * NANO) * (PARTS - out)
    return np.asarray(np.any(above & below, axis=0))


def up(values: Floats) -> Whole:
    """Whole numbers not under these values."""
    return np.asarray(np.ceil(values - _BINARY_DUST), dtype=np.int64)


def down(values: Floats) -> Whole:
    """Whole numbers not over these values."""
    return np.asarray(np.floor(values + _BINARY_DUST), dtype=np.int64)


def nearest(values: Floats) -> Whole:
    """Whole numbers nearest these values."""
    return np.asarray(np.rint(values), dtype=np.int64)


def _refuse(
    floor: Floats, cap: Floats, least: Floats, greatest: Floats, deviation: Floats, step: Floats
) -> None:
    torques = (floor, cap, least, greatest, step)
    if not all(np.all((values >= 0) & (values <= GREATEST_TORQUE)) for values in torques) or not np.all(
        step * NANO >= 1
    ):
        raise InputRefused(
            worded(
                "a torque is not from 0 to {greatest_torque:g} N·m, or a step is nought. Correct the "
                "joints or the tools.",
                greatest_torque=GREATEST_TORQUE,
            )
        )
    if not np.all((deviation >= 0) & (deviation < 1)):
        raise InputRefused(
            worded("a deviation is not from 0 to below 1: write 4 % as 0.04. Correct the tool.")
        )
