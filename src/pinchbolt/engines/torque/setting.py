"""Which tool to take for a window, where to set it, and what a done value says."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import isfinite

from pinchbolt.engines.torque.certificate import said_by_certificate
from pinchbolt.engines.torque.refusals import NoSafeSetting, figure
from pinchbolt.engines.torque.safe_window import (
    DEVIATION_WHEN_UNTESTED,
    applied,
    counts_as_untested,
    deviation_on,
    exact,
    exact_settings,
    finest_deviation,
    grid,
    is_overdue,
    lowest_tested,
    refuse_bad_tool,
    refuse_bad_window,
    why_not,
)
from pinchbolt.engines.torque.torque_types import DoneJudged, JointWindow, Setting, ToolSpec
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

GUARD_SOURCE = worded("guarded acceptance, JCGM 106:2012, 8.3.2; deviation as in ISO 6789-1:2017")


@dataclass(frozen=True, slots=True)
class _Candidate:
    """One tool with its safe range of settings and the one nearest the aim."""

    tool: ToolSpec
    deviation: float
    untested: bool
    chosen: Fraction
    lowest: Fraction
    highest: Fraction
    short_by: Fraction


def best_setting(window: JointWindow, tools: Sequence[ToolSpec], today: date) -> Setting:
    """Return the tool to take for *window* and where to set it, sure to stay inside at both ends.

    Of the tools with a safe setting: those tested and within their recalibration date first, then the setting nearest the
    aim, then the smaller deviation, then the order given.

    Args:
        window: What the joint accepts. [N·m]
        tools: Torque tools at hand. [N·m]
        today: Day of use. [date]

    Returns:
        Tool, setting, the whole safe range of settings and what the bolt may get. [N·m]

    Raises:
        InputRefused: The window or a tool has impossible figures.
        NoSafeSetting: No tool is sure to stay inside; says the deviation it would take, and carries the setting
            that keeps at least the upper limit, where there is one.

    Valid for: Steady tightening, nothing between tool and bit.

    Source: Guarded acceptance, JCGM 106:2012, 8.3.2; ISO 6789-1:2017. Order of choice: common practice, no source.
    """
    refuse_bad_window(window.floor, window.cap)
    found = [candidate for tool in tools if (candidate := _guaranteed(window, tool, today)) is not None]
    if not found:
        raise _nothing_fits(window, tools, today)
    aim = exact(window.aim)
    best = min(found, key=lambda one: (one.untested, abs(one.chosen - aim), one.deviation))
    return _as_setting(window, best, today)


def setting_at(window: JointWindow, tool: ToolSpec, shown: Fraction, today: date) -> Setting | None:
    """The answer for one tool at one setting, or None where that setting is not safe for *window*."""
    found = exact_settings(exact(window.floor), exact(window.cap), tool, today)
    if found is None or not found[0] <= shown <= found[1]:
        return None
    one = _Candidate(
        tool,
        deviation_on(tool, today),
        counts_as_untested(tool, today),
        shown,
        found[0],
        found[1],
        Fraction(0),
    )
    return _as_setting(window, one, today)


def guard_upper(window: JointWindow, tools: Sequence[ToolSpec], today: date) -> Setting:
    """Return the setting that is sure not to pass the cap and misses the floor by least; a person must accept it.

    The highest setting with ``s <= cap * (1 - d)``. The bolt may get as little as s / (1 + d), which lies under the
    floor by `may_fall_short_by`; a warning says so.

    Args:
        window: What the joint accepts. [N·m]
        tools: Torque tools at hand. [N·m]
        today: Day of use. [date]

    Returns:
        Setting with `may_fall_short_by` above 0 unless both ends are safe after all. [N·m]

    Raises:
        InputRefused: The window or a tool has impossible figures.
        NoSafeSetting: Every tool may pass the cap at its lowest setting.

    Valid for: Joints that are checked for slip afterwards (twist, push, pull), with the makers' word.

    Source: Guarded acceptance of one limit, JCGM 106:2012, 8.3.2.
    """
    refuse_bad_window(window.floor, window.cap)
    found = [candidate for tool in tools if (candidate := _under_the_cap(window, tool, today)) is not None]
    if not found:
        raise NoSafeSetting(
            worded(
                "No tool here is sure to stay under {figure} N·m. Use a smaller or a finer tool.",
                figure=figure(window.cap),
            ),
            finest=finest_deviation(window.floor, window.cap),
        )
    best = min(found, key=lambda one: (one.untested, one.short_by, one.deviation))
    return _as_setting(window, best, today)


def judge_done(window: JointWindow, tool: ToolSpec, done: float, today: date | None = None) -> DoneJudged:
    """Return whether a bolt tightened at *done* is certain to be inside *window*, and if not, in which way.

    Args:
        window: What the joint accepts. [N·m]
        tool: Tool that was used. [N·m]
        done: What the tool was set to, or showed. [N·m]
        today: Day of use; past its date the tool counts as 15 % out. Left out: as dated. [date]

    Returns:
        Certain or not, what the bolt may have got, and a sentence. [N·m]

    Raises:
        InputRefused: The tool cannot show this value.

    Valid for: Steady tightening, nothing between tool and bit.

    Example:
        >>> from pinchbolt.engines.torque.torque_types import Governs
        >>> table = Governs(4.0, "trade table", "the trade table")
        >>> face = JointWindow("face", 4.0, 5.0, 4.5, table, table, (4.0, 6.0), ())
        >>> judge_done(face, ToolSpec("w", "click wrench", 2.0, 14.0, 0.06), 4.5).inside
        True

    Source: JCGM 106:2012, 8.3.2; ISO 6789-1:2017.
    """
    refuse_bad_window(window.floor, window.cap)
    refuse_bad_tool(tool)
    _refuse_off_the_scale(tool, done)
    deviation = tool.deviation if today is None else deviation_on(tool, today)
    got = applied(done, deviation)
    if not tool.steps and exact(done) < exact(lowest_tested(tool)):
        return DoneJudged(False, got, _below_what_is_tested(window, tool, done))
    inside = window.floor <= got.low and got.high <= window.cap
    words = " ".join(
        (_judgement(window, got.low, got.high), *(one.words for one in said_by_certificate(tool, done)))
    )
    return DoneJudged(inside, got, words)


def _refuse_off_the_scale(tool: ToolSpec, done: float) -> None:
    """Refuse a done value that this tool cannot have shown: a slip of the pad, or another tool."""
    if not isfinite(done) or done <= 0:
        raise InputRefused(
            worded("torque saved is {done:g} N·m: a torque is above 0. Read the scale again.", done=done)
        )
    if tool.steps:
        if not any(exact(done) == exact(step) for step in tool.steps):
            steps = ", ".join(figure(step) for step in sorted(tool.steps))
            raise InputRefused(
                worded(
                    "torque saved is {done:g} N·m: {name} gives {steps} N·m. Enter what it clicked at.",
                    done=done,
                    name=tool.name,
                    steps=steps,
                )
            )
    elif not tool.least <= done <= tool.greatest:
        raise InputRefused(
            worded(
                "torque saved is {done:g} N·m: {name} shows {figure} to {tool_figure} N·m. Read the "
                "scale again, or name another tool.",
                done=done,
                name=tool.name,
                figure=figure(tool.least),
                tool_figure=figure(tool.greatest),
            )
        )


def _below_what_is_tested(window: JointWindow, tool: ToolSpec, done: float) -> str:
    accepted = worded(
        "{figure} to {window_figure} N·m", figure=figure(window.floor), window_figure=figure(window.cap)
    )
    return worded(
        "Cannot tell: {name} can be trusted from {lowest} N·m up, and it showed {shown}; "
        "the joint accepts {accepted}. Undo, and tighten again with a smaller tool.",
        name=tool.name,
        lowest=figure(lowest_tested(tool)),
        shown=figure(done),
        accepted=accepted,
    )


def _judgement(window: JointWindow, low: float, high: float) -> str:
    accepted = worded(
        "{figure} to {window_figure} N·m", figure=figure(window.floor), window_figure=figure(window.cap)
    )
    span = worded(
        "the bolt got {low:.3g} to {high:.3g} N·m, and its range is {accepted}",
        low=low,
        high=high,
        accepted=accepted,
    )
    if low > window.cap:
        return worded(
            "Too tight: {span}. Undo it, look for damage, change the bolt, and ask before you "
            "use the parts again.",
            span=span,
        )
    if high < window.floor:
        return worded("Too loose: {span}. Tighten again.", span=span)
    if high > window.cap and low < window.floor:
        return worded("Cannot tell: {span}. Tighten again with a finer tool.", span=span)
    if high > window.cap:
        return worded(
            "May be too tight: {span}. Undo it, look for damage, change a stretched bolt, and "
            "tighten again with less.",
            span=span,
        )
    if low < window.floor:
        return worded("May be too loose: {span}. Tighten again, or use a finer tool.", span=span)
    return worded("Inside: {span}.", span=span)


def _guaranteed(window: JointWindow, tool: ToolSpec, today: date) -> _Candidate | None:
    found = exact_settings(exact(window.floor), exact(window.cap), tool, today)
    if found is None:
        return None
    lowest, highest = found
    chosen = grid(tool).nearest(exact(window.aim), lowest, highest)
    return _Candidate(
        tool, deviation_on(tool, today), counts_as_untested(tool, today), chosen, lowest, highest, Fraction(0)
    )


def _under_the_cap(window: JointWindow, tool: ToolSpec, today: date) -> _Candidate | None:
    safe = _guaranteed(window, tool, today)
    if safe is not None:
        return safe
    deviation = deviation_on(tool, today)
    found = grid(tool).within(Fraction(0), exact(window.cap) * (1 - exact(deviation)))
    if found is None:
        return None
    highest = found[1]
    short_by = max(Fraction(0), exact(window.floor) - highest / (1 + exact(deviation)))
    return _Candidate(tool, deviation, counts_as_untested(tool, today), highest, highest, highest, short_by)


def _as_setting(window: JointWindow, one: _Candidate, today: date) -> Setting:
    got = applied(one.chosen, one.deviation)
    span = worded(
        "{figure} to {window_figure} N·m", figure=figure(window.floor), window_figure=figure(window.cap)
    )
    words = worded(
        "{name} set to {setting} N·m, at most {deviation} out, gives the bolt {low} to "
        "{high} N·m; the joint accepts {span}.",
        name=one.tool.name,
        setting=figure(float(one.chosen)),
        deviation=percent(one.deviation, 1),
        low=figure(got.low),
        high=figure(got.high),
        span=span,
    )
    range_words = worded(
        "Any setting from {figure} to {one_figure} N·m is safe: from lowest x (1 + d) to "
        "highest x (1 - d), rounded inward to the tool's steps.",
        figure=figure(float(one.lowest)),
        one_figure=figure(float(one.highest)),
    )
    upper_words = worded(
        "Only the upper limit is sure: setting = highest x (1 - d), rounded down to the tool's steps."
    )
    return Setting(
        tool=one.tool.id,
        set=float(one.chosen),
        lowest=float(one.lowest),
        highest=float(one.highest),
        applies=got,
        reasons=(
            Reason(words, one.tool.id, GUARD_SOURCE),
            Reason(upper_words if one.short_by else range_words, one.tool.id, GUARD_SOURCE),
            *said_by_certificate(one.tool, float(one.chosen)),
        ),
        warnings=tuple(_warnings(window, one, today)),
        may_fall_short_by=float(one.short_by),
    )


def _warnings(window: JointWindow, one: _Candidate, today: date) -> Iterable[str]:
    if one.short_by:
        yield (
            worded(
                "The lower limit is not sure: the bolt may get {figure} N·m less than the least, "
                "{window_figure} N·m. Check for slip by hand, and use a finer tool if there is one.",
                figure=figure(float(one.short_by)),
                window_figure=figure(window.floor),
            )
        )
    if is_overdue(one.tool, today):
        yield (
            worded(
                "{name} should have been recalibrated by {due}. We allow for {deviation}, at least "
                "{deviation_when_untested}. Have it recalibrated.",
                name=one.tool.name,
                due=one.tool.due,
                deviation=percent(one.deviation),
                deviation_when_untested=percent(DEVIATION_WHEN_UNTESTED),
            )
        )
    elif one.untested:
        yield (
            worded(
                "No calibration of {name} is on record. We allow for {deviation} until it is done. "
                "Have it calibrated.",
                name=one.tool.name,
                deviation=percent(one.deviation),
            )
        )
    elif one.tool.due is None:
        yield worded(
            "No recalibration date is on record for {name}: we trust its {deviation}.",
            name=one.tool.name,
            deviation=percent(one.deviation),
        )
    elif one.tool.due == today:
        yield worded("{name} is due for recalibration today.", name=one.tool.name)


def _nothing_fits(window: JointWindow, tools: Sequence[ToolSpec], today: date) -> NoSafeSetting:
    finest = finest_deviation(window.floor, window.cap)
    span = worded(
        "{figure} to {window_figure} N·m", figure=figure(window.floor), window_figure=figure(window.cap)
    )
    if finest > 0:
        way_out = worded(
            "It takes a tool that reaches this range and is {finest} or better.", finest=percent(finest, 1)
        )
    else:
        way_out = worded("No tool can promise a range this narrow: ask the maker for a range.")
    errors = {tool.id: why_not(window.floor, window.cap, tool, today) for tool in tools}
    try:
        upper = guard_upper(window, tools, today)
    except NoSafeSetting:
        sentence = worded(
            "No safe setting: no tool here is sure to stay inside {span}. {way_out}",
            span=span,
            way_out=way_out,
        )
        return NoSafeSetting(sentence, errors, finest=finest)
    named = next(tool.name for tool in tools if tool.id == upper.tool)
    sentence = worded(
        "No safe setting at both ends: no tool here is sure to stay inside {span}. {way_out} "
        "{named} at {figure} N·m keeps the upper limit but may fall {upper_figure} N·m short "
        "of the lower; a person decides.",
        span=span,
        way_out=way_out,
        named=named,
        figure=figure(upper.set),
        upper_figure=figure(upper.may_fall_short_by),
    )
    return NoSafeSetting(sentence, errors, finest=finest, upper_guarded=upper)
