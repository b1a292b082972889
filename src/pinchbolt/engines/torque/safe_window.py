"""Guard band: the settings of a tool that keep a joint inside its window at both ends of the tool's deviation.

Computed in exact decimal fractions, so that 4.7 on a tool that may be 6 % out reaches 5 N·m and not a hair more.
"""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil, floor, isfinite

from pinchbolt.engines.torque.refusals import NoSafeSetting, figure
from pinchbolt.engines.torque.torque_types import ToolSpec
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# Deviation of a tool without a certificate or past its date. From memory.
DEVIATION_WHEN_UNTESTED = 0.15
# An adjustable tool is tested at 20, 60 and 100 % of its greatest value: below, nothing is promised. ISO 6789:2003.
LOWEST_TESTED_SHARE = 0.20


@dataclass(frozen=True, slots=True)
class Grid:
    """Settings a tool can be put to: `origin` + k x `step`, or the listed values. Exact, in N·m."""

    listed: tuple[Fraction, ...]
    origin: Fraction
    step: Fraction
    first: int
    last: int

    def within(self, low: Fraction, high: Fraction) -> tuple[Fraction, Fraction] | None:
        """Lowest and highest setting inside *low* to *high*, or None."""
        if self.listed:
            inside = [value for value in self.listed if low <= value <= high]
            return (min(inside), max(inside)) if inside else None
        first = max(self.first, ceil((low - self.origin) / self.step))
        last = min(self.last, floor((high - self.origin) / self.step))
        if first > last:
            return None
        return self.origin + first * self.step, self.origin + last * self.step

    def nearest(self, aim: Fraction, low: Fraction, high: Fraction) -> Fraction:
        """The setting from *low* to *high*, both settings themselves, nearest to *aim*; the lower of two alike."""
        if self.listed:
            inside = [value for value in self.listed if low <= value <= high]
            return min(inside, key=lambda value: (abs(value - aim), value))
        steps = (min(max(aim, low), high) - low) / self.step
        return low + ceil(steps - Fraction(1, 2)) * self.step


def exact(value: float) -> Fraction:
    """The decimal number that *value* prints as, exactly."""
    return Fraction(repr(float(value)))


def grid(tool: ToolSpec) -> Grid:
    """The settings that a tool's scale has and its test covers."""
    refuse_bad_tool(tool)
    step = exact(tool.step)
    origin, greatest = exact(tool.least), exact(tool.greatest)
    tested = max(origin, exact(lowest_tested(tool)))
    return Grid(
        listed=tuple(sorted(exact(value) for value in tool.steps)),
        origin=origin,
        step=step,
        first=ceil((tested - origin) / step),
        last=floor((greatest - origin) / step),
    )


def lowest_tested(tool: ToolSpec) -> float:
    """Return the lowest setting for which an adjustable tool's deviation is vouched: its certificate's, or a fifth.

    Args:
        tool: Range of the tool, and where its certificate starts. [N·m]

    Returns:
        Lowest setting to be used. [N·m]

    Source: ISO 6789:2003 tests at 20, 60 and 100 %; by ISO 6789-1:2017, 5.1.3, the range starts at the lowest mark and is
        tested there, so a certificate under that edition may say less than a fifth.
    """
    if tool.tested_from is None:
        return float(exact(tool.greatest) * exact(LOWEST_TESTED_SHARE))
    return tool.tested_from


def deviation_on(tool: ToolSpec, today: date) -> float:
    """Return the deviation to reckon with on a day: at least 15 % for a tool that was never calibrated or is past its date.

    Args:
        tool: Deviation, recalibration date and whether the tool was ever calibrated. [-]
        today: Day of use. [date]

    Returns:
        Greatest relative deviation. [-]

    Source: 15 % for a tool without certificate or past its date: from memory, as in the trade table of tool classes.
    """
    return max(tool.deviation, DEVIATION_WHEN_UNTESTED) if counts_as_untested(tool, today) else tool.deviation


def is_overdue(tool: ToolSpec, today: date) -> bool:
    """Return True once the recalibration date has passed; the day itself still counts.

    Args:
        tool: Recalibration date of the tool. [date]
        today: Day of use. [date]

    Returns:
        Past its date, or not; False where no date is on record. [-]

    Source: ISO 6789: 12 months or 5000 cycles as the default; the date itself is the shop's record.
    """
    return tool.due is not None and today > tool.due


def counts_as_untested(tool: ToolSpec, today: date) -> bool:
    """Return True for a tool that nobody vouches for on a day: never calibrated, or past its date.

    Args:
        tool: Recalibration date of the tool, and whether it was ever calibrated. [-]
        today: Day of use. [date]

    Returns:
        Untested, or not. [-]

    Source: ISO 6789, a conforming tool is one that was calibrated; what was never tested is no better than what is late:
        common practice, no source.
    """
    return tool.untested or is_overdue(tool, today)


def applied(setting: float | Fraction, deviation: float) -> Interval:
    """Return what a bolt may get from a tool set to *setting*: setting / (1 + d) to setting / (1 - d).

    Args:
        setting: What the tool shows. [N·m]
        deviation: Greatest relative deviation of the tool; 4 % is 0.04. [-]

    Returns:
        Least and greatest torque on the bolt. [N·m]

    Source: ISO 6789-1:2017, deviation = (shown - true) / true; relative to the reference, by public summaries of it.
    """
    shown = setting if isinstance(setting, Fraction) else exact(setting)
    share = exact(deviation)
    return Interval(float(shown / (1 + share)), float(shown / (1 - share)))


def settings(window_floor: float, cap: float, tool: ToolSpec, today: date) -> tuple[float, float]:
    """Return the lowest and the highest setting of *tool* that keep the bolt inside the window.

    A tool set to s delivers s / (1 + d) to s / (1 - d). Both lie in the window when
    ``floor * (1 + d) <= s <= cap * (1 - d)``; both ends are then rounded inward to settings the tool has.

    Args:
        window_floor: Least torque of the joint. [N·m]
        cap: Greatest torque of the joint. [N·m]
        tool: Range, steps, deviation and recalibration date of the tool. [N·m]
        today: Day of use; past its date a tool counts as 15 % out. [date]

    Returns:
        Lowest and highest safe setting; alike where only one is safe. [N·m]

    Raises:
        InputRefused: Values not finite, not above 0, reversed, or a deviation outside 0 to 1.
        NoSafeSetting: Too coarse, out of range, or no step of the scale falls inside.

    Valid for: Steady tightening with nothing between tool and bit; use `extended_setting` for an adapter. An
        adjustable tool is not used under 20 % of its greatest value, or under what its certificate covers.

    Example:
        >>> settings(4.0, 5.0, ToolSpec("w", "click wrench", 2.0, 14.0, 0.06), date(2025, 3, 1))
        (4.3, 4.7)

    Source: Guarded acceptance, JCGM 106:2012, 8.3.2; ISO 6789-1:2017.
    """
    refuse_bad_window(window_floor, cap)
    found = exact_settings(exact(window_floor), exact(cap), tool, today)
    if found is None:
        raise NoSafeSetting(
            why_not(window_floor, cap, tool, today), finest=finest_deviation(window_floor, cap)
        )
    return float(found[0]), float(found[1])


def exact_settings(
    low: Fraction, high: Fraction, tool: ToolSpec, today: date
) -> tuple[Fraction, Fraction] | None:
    """As `settings`, in exact fractions; None where no setting is safe."""
    share = exact(deviation_on(tool, today))
    return grid(tool).within(low * (1 + share), high * (1 - share))


def finest_deviation(window_floor: float, cap: float) -> float:
    """Return the greatest deviation that any tool for this window may have, rounded down to 0.1 %.

    From ``floor * (1 + d) = cap * (1 - d)``: d = (cap - floor) / (cap + floor).

    Args:
        window_floor: Least torque of the joint. [N·m]
        cap: Greatest torque of the joint. [N·m]

    Returns:
        Greatest deviation; 0 where the window is one value. [-]

    Source: Own derivation from the guard band above.
    """
    low, high = exact(window_floor), exact(cap)
    return floor(1000 * (high - low) / (high + low)) / 1000


def why_not(window_floor: float, cap: float, tool: ToolSpec, today: date) -> str:
    """Say why no setting of *tool* is safe for this window, and what would be."""
    span = worded("{floor} to {cap} N·m", floor=figure(window_floor), cap=figure(cap))
    deviation = deviation_on(tool, today)
    finest = finest_deviation(window_floor, cap)
    late = _why_wider(tool, today)
    if deviation > finest:
        return worded(
            "{name} may be {deviation} out{late}: the joint accepts {span}, too narrow for it. "
            "Use a tool that is {finest} or better, or check the markings.",
            name=tool.name,
            deviation=percent(deviation, 1),
            late=late,
            span=span,
            finest=percent(finest, 1),
        )
    low, high = window_floor * (1 + deviation), cap * (1 - deviation)
    needed = worded("the joint needs a setting from {low} to {high} N·m", low=figure(low), high=figure(high))
    if tool.steps:
        steps = ", ".join(figure(value) for value in sorted(tool.steps))
        return worded(
            "{name} gives {steps} N·m: {needed}. Use an adjustable tool.",
            name=tool.name,
            steps=steps,
            needed=needed,
        )
    lowest = max(tool.least, lowest_tested(tool))
    if high < lowest:
        return worded(
            "{name} is good for nothing under {figure} N·m: {needed}. Use a smaller tool.",
            name=tool.name,
            figure=figure(lowest),
            needed=needed,
        )
    if low > tool.greatest:
        return worded(
            "{name} ends at {figure} N·m: {needed}. Use a larger tool.",
            name=tool.name,
            figure=figure(tool.greatest),
            needed=needed,
        )
    return worded(
        "{name} goes in steps of {figure} N·m: {needed}. Use a finer scale.",
        name=tool.name,
        figure=figure(tool.step),
        needed=needed,
    )


def _why_wider(tool: ToolSpec, today: date) -> str:
    if is_overdue(tool, today):
        return worded(", since its recalibration was due {due}", due=tool.due)
    return worded(", since no calibration of it is on record") if tool.untested else ""


def refuse_bad_window(window_floor: float, cap: float) -> None:
    """Refuse a window that is not a rising pair above 0."""
    if not (isfinite(window_floor) and isfinite(cap) and 0 < window_floor <= cap):
        raise InputRefused(
            worded(
                "joint is {window_floor:g} to {cap:g} N·m: the least is above 0 and not above the "
                "greatest. Check the markings of the parts in this joint.",
                window_floor=window_floor,
                cap=cap,
            )
        )


def refuse_bad_tool(tool: ToolSpec) -> None:
    """Refuse a tool whose figures cannot be those of a tool."""
    if not (isfinite(tool.deviation) and 0 <= tool.deviation < 1):
        raise InputRefused(
            worded(
                "{name}'s deviation is {deviation:.6g} of the torque: it is from 0 to below 1 (4 % "
                "is 0.04). Correct the tool.",
                name=tool.name,
                deviation=tool.deviation,
            )
        )
    if not (
        isfinite(tool.least)
        and isfinite(tool.greatest)
        and 0 <= tool.least <= tool.greatest
        and tool.greatest
    ):
        raise InputRefused(
            worded(
                "{name}'s range is {least:g} to {greatest:g} N·m: it rises from 0 or more. Correct the tool.",
                name=tool.name,
                least=tool.least,
                greatest=tool.greatest,
            )
        )
    if not (isfinite(tool.step) and tool.step > 0):
        raise InputRefused(
            worded(
                "{name}'s step is {step:g} N·m: a step is above 0. Correct the tool.",
                name=tool.name,
                step=tool.step,
            )
        )
    if tool.tested_from is not None and not tool.least <= tool.tested_from <= tool.greatest:
        raise InputRefused(
            worded(
                "{name}'s certificate starts at {tested_from:g} N·m: it lies in the tool's range, "
                "{least:g} to {greatest:g} N·m. Read the certificate again.",
                name=tool.name,
                tested_from=tool.tested_from,
                least=tool.least,
                greatest=tool.greatest,
            )
        )
    if any(not isfinite(value) or value <= 0 for value in tool.steps):
        raise InputRefused(
            worded("{name}'s settings include one that is not above 0. Correct the tool.", name=tool.name)
        )
