"""A tool is checked: a torque tool by its certificate or by a weight on an arm, a key by its size, any tool by eye.

What fails goes off the board; what a torque tool did since its last good check is in doubt (found_out.py).
"""

from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.engines.torque import (
    CalibrationPoint,
    KeyLimits,
    TorqueToolRecord,
    bench_check,
    key_state,
    six_lobe_limits,
    tool_state,
)
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Instrument, Tool, ToolCheck
from pinchbolt.reference.rows.tools import ToolRow
from pinchbolt.values import Interval, Verdict
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import tool_by_id
from pinchbolt.workshop.common.checks import local_day, not_in_future, number, short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.arms import arm_of
from pinchbolt.workshop.tools.found_out import Doubtful, doubtful_done
from pinchbolt.workshop.tools.tool_board import CALIBRATED, class_deviation, last_torque_check

# What a key is measured with, and the row that says how far out that may be.
MEASURED_WITH = ("micrometer", "caliper")
_MOST_POINTS = 20


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a certificate: what the tool showed and what was true. [N·m]"""

    shown_n_m: float
    true_n_m: float


@dataclass(frozen=True, slots=True)
class ToolCheckRequest:
    """A torque tool was calibrated: the points of its certificate, or the worst relative error found (4 % is 0.04).

    `due` is the next calibration; left out, twelve months after `day`.
    """

    tool: int
    deviation: float | None = None
    due: date | None = None
    words: str = ""
    day: date | None = None
    points: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class TriedRequest:
    """A torque tool clicked at `clicked_n_m` with a known weight on a measured arm. [kg], [mm], [N·m]"""

    tool: int
    mass_kg: float
    arm_mm: float
    clicked_n_m: float
    day: date | None = None


@dataclass(frozen=True, slots=True)
class MeasuredRequest:
    """A key was measured across its flats, or over its lobes. [mm]"""

    tool: int
    measured_mm: float
    measured_with: str = "caliper"
    day: date | None = None


@dataclass(frozen=True, slots=True)
class LookedOverRequest:
    """A tool was looked over: good, or worn and off the board; in words why."""

    tool: int
    good: bool
    words: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class HungRequest:
    """A tool or an instrument of the table that hangs here from now on.

    `arm_mm` is measured from a torque tool's drive to its grip mark, or from an adapter's drive to the bolt.
    """

    table_id: str
    name: str = ""
    hangs: str = ""
    arm_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ToolChecked:
    """What a check found, whether the tool still hangs on the board, and the done values that are now in doubt. [-]"""

    tool: int
    name: str
    good: bool
    deviation: float | None
    due: date | None
    words: str
    doubtful: tuple[Doubtful, ...] = ()


def check_tool(request: ToolCheckRequest, *, by: int, key: str, now: datetime) -> ToolChecked:
    """Write down a torque tool's calibration; one that deviates more than its class goes off the board.

    Raises:
        InputRefused: No such tool, one that shows no torque, no deviation and no point, or one out of sense.
    """
    with act("tool checked", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(ToolCheck.objects.get(event=this.done_before))
        tool = tool_by_id(request.tool)
        permitted = _permitted(tool)
        deviation = _deviation(request)
        day = not_in_future(request.day or local_day(now), now, "day", worded("The day of the check"))
        state = tool_state(
            TorqueToolRecord(tool.name, permitted, day, now=(CalibrationPoint(1.0, 1 / (1 + deviation)),)),
            day,
        )
        good = deviation <= permitted
        told = worded(
            "{name} was out by {deviation}, its class allows {permitted}",
            name=tool.name,
            deviation=percent(deviation, 1),
            permitted=percent(permitted),
        )
        words = short(request.words, "words", worded("The words"), 200) or (
            f"{told}." if good else worded("{told}: wrong, taken off the board.", told=told)
        )
        due = _sensible_due(request.due or state.due, day)
        return _seen(_write(this.write(), tool, day, good, words, deviation, due))


def try_tool(request: TriedRequest, *, by: int, key: str, now: datetime) -> ToolChecked:
    """Write down how a torque tool clicked with a weight on an arm; it replaces no calibration, so the date due stays.

    Raises:
        InputRefused: No such tool, one that shows no torque, or a weight, arm or torque out of sense.
    """
    with act("tool tried", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(ToolCheck.objects.get(event=this.done_before))
        tool = tool_by_id(request.tool)
        permitted = _permitted(tool)
        number(request.mass_kg, "mass_kg", worded("The weight"), 0.05, 100, "kg")
        number(request.arm_mm, "arm_mm", worded("The arm"), 20, 2000, "mm")
        number(request.clicked_n_m, "clicked_n_m", worded("The setting that clicked"), 0.1, 300, "N·m")
        true, good = bench_check(request.mass_kg, request.arm_mm, request.clicked_n_m, permitted)
        deviation = abs(request.clicked_n_m - true) / true
        if deviation >= 1:
            sentence = worded(
                "{mass_kg:g} kg on {arm_mm:g} mm are {true:.2f} N·m, and the tool clicked at "
                "{clicked_n_m:g}: one of the three is another. Measure again.",
                mass_kg=request.mass_kg,
                arm_mm=request.arm_mm,
                true=true,
                clicked_n_m=request.clicked_n_m,
            )
            raise InputRefused(sentence, {"clicked_n_m": sentence})
        day = not_in_future(request.day or local_day(now), now, "day", worded("The day of the check"))
        last = last_torque_check(tool)
        good = good and not _failed_calibration(tool)
        told = worded(
            "{name} clicked at {clicked_n_m:g} N·m where {true:.2f} hung, {deviation} out",
            name=tool.name,
            clicked_n_m=request.clicked_n_m,
            true=true,
            deviation=percent(deviation, 1),
        )
        words = (
            worded("{told}: believed until its calibration.", told=told)
            if good
            else worded("{told}: it stays off the board.", told=told)
        )
        return _seen(_write(this.write(), tool, day, good, words, deviation, last.due if last else None))


def measure_tool(request: MeasuredRequest, *, by: int, key: str, now: datetime) -> ToolChecked:
    """Write down a key's size against its standard; a worn one goes off the board.

    Raises:
        InputRefused: No such tool, one without a size in the table, or a size that no such key measures.
    """
    with act("tool measured", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(ToolCheck.objects.get(event=this.done_before))
        tool = tool_by_id(request.tool)
        limits = key_limits(tables().tools.get(tool.table_id))
        if limits is None:
            sentence = worded(
                "No size is known for {name}: only hex and six-lobe keys are measured. Look it over instead.",
                name=tool.name,
            )
            raise InputRefused(sentence, {"measured_mm": sentence})
        if request.measured_with not in MEASURED_WITH:
            sentence = worded(
                'It was measured with "{measured_with}": {allowed}. Choose one.',
                measured_with=request.measured_with[:30],
                allowed=", ".join(MEASURED_WITH),
            )
            raise InputRefused(sentence, {"measured_with": sentence})
        number(request.measured_mm, "measured_mm", worded("The size"), 0.5, 60, "mm")
        row = tables().instruments[request.measured_with]
        doubt = row.mpe if row.mpe is not None else row.sd
        measured = Interval(
            round(request.measured_mm - doubt, 4),
            round(request.measured_mm + doubt, 4),
        )
        state = key_state(limits, measured)
        good = state.verdict is not Verdict.BEFORE_IT_LEAVES
        day = not_in_future(request.day or local_day(now), now, "day", worded("The day of the check"))
        return _seen(_write(this.write(), tool, day, good, state.words, None, None))


def look_over_tool(request: LookedOverRequest, *, by: int, key: str, now: datetime) -> ToolChecked:
    """Write down that a tool was looked over; a worn one goes off the board, a good one back on it.

    Raises:
        InputRefused: No such tool, or worn without a word why.
        NotPossibleNow: A torque tool that failed its last check: an eye sees no torque.
    """
    with act("tool looked over", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(ToolCheck.objects.get(event=this.done_before))
        tool = tool_by_id(request.tool)
        said = short(request.words, "words", worded("What is wrong with it"), 150, needed=not request.good)
        day = not_in_future(request.day or local_day(now), now, "day", worded("The day of the check"))
        words = (
            worded("{name} looked over: good.", name=tool.name)
            if request.good
            else worded("{name} is off the board: {said}", name=tool.name, said=said)
        )
        last = last_torque_check(tool)
        if request.good and last is not None and not last.good:
            raise NotPossibleNow(
                worded(
                    "{name} failed its check on {day:%d %b %Y}. Have it calibrated; a look is not enough.",
                    name=tool.name,
                    day=last.day,
                )
            )
        return _seen(_write(this.write(), tool, day, request.good, words, None, last.due if last else None))


def hang_tool(request: HungRequest, *, by: int, key: str, now: datetime) -> str:
    """Hang a tool or an instrument of the table on the board; return its name.

    Raises:
        InputRefused: The table has no such tool, or an arm for what has none.
    """
    with act("tool hung", by=by, key=key, now=now, request=request) as this:
        known = tables()
        row = known.tools.get(request.table_id) or known.torque_tools.get(request.table_id)
        instrument = known.instruments.get(request.table_id)
        found = row or instrument
        if found is None:
            sentence = worded(
                'The table has no tool "{table_id}". Choose one of its rows.', table_id=request.table_id[:40]
            )
            raise InputRefused(sentence, {"table_id": sentence})
        name = short(request.name, "name", worded("The name"), 120) or found.name
        if this.repeated:
            return name
        arm = None if request.arm_mm is None else arm_of(request.table_id, request.arm_mm)
        this.write()
        if row is None:
            Instrument.objects.create(table_id=request.table_id, name=name)
        else:
            Tool.objects.create(
                table_id=request.table_id,
                name=name,
                hangs=short(request.hangs, "hangs", worded("Where it hangs"), 60),
                arm_mm=arm,
            )
        return name


def rows_to_hang() -> tuple[tuple[str, str], ...]:
    """Return every tool and instrument of the table that can hang on a board: id and name."""
    known = tables()
    torque = [(row.id, row.name) for row in known.torque_tools.values()]
    instruments = [(row.id, row.name) for row in known.instruments.values()]
    return (*torque, *instruments, *((row.id, row.name) for row in known.tools.values()))


def key_limits(row: ToolRow | None) -> KeyLimits | None:
    """Return the sizes of a hex or six-lobe key; None for every other tool."""
    if row is None:
        return None
    if row.lobe_a is not None:
        return six_lobe_limits(row.id, row.lobe_a, row.source)
    if row.size_min is None or row.size_max is None or row.worn_at is None:
        return None
    return KeyLimits(row.id, row.size_min, row.size_max, row.worn_at, row.proof, row.source)


def _failed_calibration(tool: Tool) -> bool:
    """Whether only a calibration can bring a tool back: a weight on an arm is too coarse for that."""
    rows = tool.checks.filter(event__kind=CALIBRATED, event__corrected_by__isnull=True)
    last = rows.order_by("day", "pk").last()
    return last is not None and not last.good


def _permitted(tool: Tool) -> float:
    row = tables().torque_tools.get(tool.table_id)
    if row is None:
        raise InputRefused(
            worded(
                "{name} shows no torque: only torque tools are checked so. Choose another.", name=tool.name
            )
        )
    return class_deviation(tables().torque_classes[row.class_], row.range[1])


def _deviation(request: ToolCheckRequest) -> float:
    if (request.deviation is None) == (not request.points):
        sentence = worded(
            "A calibration has its points, or the worst deviation of them: give one of the two."
        )
        raise InputRefused(sentence, {"deviation": sentence})
    if request.deviation is not None:
        return number(
            request.deviation,
            "deviation",
            worded("The deviation"),
            0.0,
            0.99,
            worded("of the torque (4 % is 0.04)"),
        )
    if len(request.points) > _MOST_POINTS:
        sentence = worded(
            "{points} points: {most_points} at most. Give those of the certificate.",
            points=len(request.points),
            most_points=_MOST_POINTS,
        )
        raise InputRefused(sentence, {"points": sentence})
    for point in request.points:
        number(point.shown_n_m, "points", worded("What the tool showed"), 0.1, 400, "N·m")
        number(point.true_n_m, "points", worded("What was true"), 0.1, 400, "N·m")
    worst = max(abs(point.shown_n_m - point.true_n_m) / point.true_n_m for point in request.points)
    return number(worst, "points", worded("The worst point is out by"), 0.0, 0.99, worded("of the torque"))


def _sensible_due(due: date | None, day: date) -> date | None:
    if due is not None and not 0 <= (due - day).days <= 800:
        sentence = worded(
            "The next calibration is due {due:%d %b %Y}: it lies within two years of {day:%d %b "
            "%Y}. Correct the day.",
            due=due,
            day=day,
        )
        raise InputRefused(sentence, {"due": sentence})
    return due


def _write(
    event: Event, tool: Tool, day: date, good: bool, words: str, deviation: float | None, due: date | None
) -> ToolCheck:
    check = ToolCheck.objects.create(
        event=event, tool=tool, day=day, due=due, deviation=deviation, good=good, words=words[:200]
    )
    if tool.in_use != good:
        tool.in_use = good
        tool.save(update_fields=["in_use"])
    return check


def _seen(check: ToolCheck) -> ToolChecked:
    of_torque = check.deviation is not None
    return ToolChecked(
        check.tool_id,
        check.tool.name,
        check.good,
        check.deviation,
        check.due,
        check.words,
        doubtful_done(check) if of_torque else (),
    )


def last_check(tool: int) -> ToolChecked | None:
    """Return a tool's last check that stands, with what it put in doubt; None where there is none.

    Raises:
        NotFound: No such tool.
    """
    found = tool_by_id(tool).checks.filter(event__corrected_by__isnull=True).order_by("day", "pk").last()
    return _seen(found) if found is not None else None


def points_to_check(tool: int) -> tuple[float, ...]:
    """Return where a torque tool is calibrated: a preset tool at its values, another at 20, 60 and 100 % of its greatest.

    None for a tool without torque. ISO 6789:2003.
    """
    row = tables().torque_tools.get(tool_by_id(tool).table_id)
    if row is None:
        return ()
    return row.steps or tuple(round(share * row.range[1], 2) for share in (0.2, 0.6, 1.0))
