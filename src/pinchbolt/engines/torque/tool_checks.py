"""Are the torque tools still good: their date, their cycles, what they showed and what was true."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import isfinite

from pinchbolt.engines.torque.safe_window import DEVIATION_WHEN_UNTESTED
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason, Verdict
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# A torque tool goes back after so many months or cycles, whichever first. ISO 6789, unless the shop has a procedure.
RECALIBRATION_MONTHS = 12
RECALIBRATION_CYCLES = 5000
# Standard acceleration of free fall, for a known weight on a measured arm. [m/s2]
FREE_FALL = 9.80665
# A bench check between calibrations may be this much further out than the tool itself: weight and arm. From memory.
BENCH_CHECK_DOUBT = 0.02


@dataclass(frozen=True, slots=True)
class CalibrationPoint:
    """One point of a certificate or a check: what was shown and what was true. [N·m]"""

    shown: float
    true: float

    @property
    def deviation(self) -> float:
        """(shown - true) / true, as ISO 6789-1 defines it. [-]"""
        return (self.shown - self.true) / self.true


@dataclass(frozen=True, slots=True)
class TorqueToolRecord:
    """A torque tool's record: last calibration, cycles since, overload since, and the points found then and now."""

    name: str
    permitted: float
    calibrated: date | None
    cycles: int | None = None
    overloaded: bool = False
    then: tuple[CalibrationPoint, ...] = ()
    now: tuple[CalibrationPoint, ...] = ()


@dataclass(frozen=True, slots=True)
class TorqueToolState:
    """Whether a torque tool may be trusted today; `deviation` is what to reckon with if it is used all the same. [-]"""

    verdict: Verdict
    due: date | None
    drift: float | None
    deviation: float
    words: str
    reasons: tuple[Reason, ...]


def tool_state(tool: TorqueToolRecord, today: date) -> TorqueToolState:
    """Return whether a torque tool may be trusted today: date, cycles, overload, drift and deviation found.

    Due after 12 months or 5000 cycles, whichever is first, and after an overload. Drift is the greatest change of
    deviation between two checks at the same settings.

    Args:
        tool: Record of the tool. [N·m]
        today: The day. [date]

    Returns:
        Verdict, date due, drift, and the deviation to reckon with. [-]

    Raises:
        InputRefused: A point that is not above 0, or a calibration after today.

    Valid for: Tools under ISO 6789; a shop's own written procedure may set other intervals.

    Source: ISO 6789 (12 months or 5000 cycles as the default); 15 % for a tool past its date is from memory.
    """
    _refuse_bad_record(tool, today)
    due = None if tool.calibrated is None else _a_year_on(tool.calibrated)
    worst = max((abs(point.deviation) for point in tool.now), default=0.0)
    drift = _drift(tool)
    reasons = tuple(_tool_reasons(tool, worst, drift))
    if worst > tool.permitted:
        words = worded(
            "{name} is {worst} out: {permitted} is permitted. Take it off the board.",
            name=tool.name,
            worst=percent(worst, 1),
            permitted=percent(tool.permitted, 1),
        )
        return TorqueToolState(Verdict.BEFORE_IT_LEAVES, due, drift, worst, words, reasons)
    late = tuple(_why_due(tool, due, today))
    if late:
        deviation = max(DEVIATION_WHEN_UNTESTED, tool.permitted)
        words = worded(
            "{name} is due for recalibration: {late}. Until then it counts as {deviation} out.",
            name=tool.name,
            late=", ".join(late),
            deviation=percent(deviation),
        )
        return TorqueToolState(Verdict.NEXT_VISIT, due, drift, deviation, words, reasons)
    if today == due:
        words = worded(
            "{name} is due for recalibration today. Send it away after today's work.", name=tool.name
        )
        return TorqueToolState(Verdict.NEXT_VISIT, due, drift, tool.permitted, words, reasons)
    if drift is not None and drift > tool.permitted / 2:
        words = worded(
            "{name} has moved by {drift:.1f} %. Check it within a month.", name=tool.name, drift=drift * 100
        )
        return TorqueToolState(Verdict.WATCH, due, drift, tool.permitted, words, reasons)
    return TorqueToolState(
        Verdict.SOUND,
        due,
        drift,
        tool.permitted,
        worded("{name} is in date, next due {due}.", name=tool.name, due=due),
        reasons,
    )


def bench_check(mass_kg: float, arm_mm: float, clicked_at: float, permitted: float) -> tuple[float, bool]:
    """Return the torque of a known weight on a measured arm, and whether a tool that clicked there is still believed.

    T = m g L. Believed while |clicked - T| / T is at most the permitted deviation and 2 % for weight and arm.

    Args:
        mass_kg: Hung weight. [kg]
        arm_mm: Drive centre to where it hangs, level. [mm]
        clicked_at: Setting at which the tool just clicks. [N·m]
        permitted: Permitted deviation of the tool. [-]

    Returns:
        True torque, and believed or not. [N·m], [-]

    Raises:
        InputRefused: A value that is not above 0.

    Valid for: A check between calibrations, arm level, the tool's own weight balanced. It replaces no calibration.

    Example:
        >>> torque, believed = bench_check(2.5, 200.0, 5.0, 0.06)
        >>> round(torque, 2), believed
        (4.9, True)

    Source: Lever arithmetic with standard free fall; the 2 % are from memory.
    """
    if not all(isfinite(value) and value > 0 for value in (mass_kg, arm_mm, clicked_at)):
        raise InputRefused(
            worded(
                "weight is {mass_kg:g} kg on {arm_mm:g} mm, clicked at {clicked_at:g} N·m: all are "
                "above 0. Measure again.",
                mass_kg=mass_kg,
                arm_mm=arm_mm,
                clicked_at=clicked_at,
            )
        )
    true = mass_kg * FREE_FALL * arm_mm / 1000
    return true, abs(clicked_at - true) / true <= permitted + BENCH_CHECK_DOUBT


def _tool_reasons(tool: TorqueToolRecord, worst: float, drift: float | None) -> Iterable[Reason]:
    yield Reason(
        worded(
            "Due after {recalibration_months} months or {recalibration_cycles} cycles, whichever "
            "comes first, and after an overload.",
            recalibration_months=RECALIBRATION_MONTHS,
            recalibration_cycles=RECALIBRATION_CYCLES,
        ),
        "recalibrate",
        "ISO 6789",
    )
    found = worded(
        "Permitted deviation {permitted}; greatest found now {worst}.",
        permitted=percent(tool.permitted, 1),
        worst=percent(worst, 1),
    )
    yield Reason(found, "", "ISO 6789-1:2017")
    if drift is not None:
        moved = worded(
            "The deviation has moved by up to {drift} since the last calibration.", drift=percent(drift, 1)
        )
        yield Reason(moved, "", worded("own arithmetic"))


def _why_due(tool: TorqueToolRecord, due: date | None, today: date) -> Iterable[str]:
    if due is None:
        yield worded("no calibration is on record")
    elif today > due:
        yield worded("the date was {due}", due=due)
    if tool.cycles is not None and tool.cycles >= RECALIBRATION_CYCLES:
        yield worded("{cycles} cycles are done", cycles=tool.cycles)
    if tool.overloaded:
        yield worded("it was overloaded or fell")


def _drift(tool: TorqueToolRecord) -> float | None:
    """Greatest change of deviation at a setting that both checks have."""
    then = {point.shown: point.deviation for point in tool.then}
    moved = [abs(point.deviation - then[point.shown]) for point in tool.now if point.shown in then]
    return max(moved, default=None)


def _a_year_on(day: date) -> date:
    """The same day a year later; 29 February is due on 28 February."""
    try:
        return day.replace(year=day.year + RECALIBRATION_MONTHS // 12)
    except ValueError:
        return day.replace(year=day.year + RECALIBRATION_MONTHS // 12, day=28)


def _refuse_bad_record(tool: TorqueToolRecord, today: date) -> None:
    if not 0 < tool.permitted < 1:
        raise InputRefused(
            worded(
                "{name}: permitted deviation is {permitted:g}: write 4 % as 0.04.",
                name=tool.name,
                permitted=tool.permitted,
            )
        )
    if tool.calibrated is not None and tool.calibrated > today:
        raise InputRefused(
            worded(
                "{name}: calibrated on {calibrated}, after today. Correct the date.",
                name=tool.name,
                calibrated=tool.calibrated,
            )
        )
    if any(not (point.shown > 0 and point.true > 0) for point in (*tool.then, *tool.now)):
        raise InputRefused(
            worded("{name}: a point of its certificate is not above 0. Correct it.", name=tool.name)
        )
