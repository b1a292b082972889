"""The tools and instruments that hang here, as the engines take them, and when each is to be checked again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import cast

from django.db.models import Count, QuerySet
from django.utils import timezone

from pinchbolt.engines.torque import CalibrationPoint, ToolSpec, TorqueToolRecord, deviation_on, tool_state
from pinchbolt.records.models import DoneValue, Event, Instrument, InstrumentCheck, RoundTick, Tool, ToolCheck
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.tools import TorqueClass, TorqueTool
from pinchbolt.values import Verdict
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.found_out import OF_TORQUE

CALIBRATED = "tool checked"
ADAPTER = "crowfoot"  # what every row of an adapter begins with
MOST_CLICKS = 5000  # a torque tool goes back after these, ISO 6789
SOON = timedelta(days=30)
# How a tool is checked here.
BY_TORQUE, BY_SIZE, BY_EYE = "torque", "size", "eye"


@dataclass(frozen=True, slots=True)
class ToolView:
    """A tool on the board; torque figures in N·m, sizes in mm, None for a tool that has none.

    `checked_by` is "torque", "size" or "eye"; `clicks` counts the bolts on record since the last calibration. `deviation`
    is what is reckoned with today; `untested`: nobody has ever calibrated it here. `points` are those of its last certificate;
    `arm` is from a torque tool's drive to its grip mark, or from the drive of an adapter to the bolt. [mm]
    """

    id: int
    name: str
    table_id: str
    hangs: str
    in_use: bool
    least: float | None
    greatest: float | None
    deviation: float | None
    due: date | None
    is_due: bool
    checked_by: str
    check: str
    size_least: float | None
    size_greatest: float | None
    worn_at: float | None
    checked: date | None
    checked_words: str
    clicks: int
    drift_words: str
    untested: bool
    points: tuple[CalibrationPoint, ...]
    arm: float | None
    is_adapter: bool


@dataclass(frozen=True, slots=True)
class InstrumentView:
    """An instrument on the board: its known error and its last check."""

    id: int
    name: str
    table_id: str
    in_use: bool
    reads: str
    unit: str
    bias: float | None
    checked: date | None
    check: str
    checked_words: str
    due: date | None
    is_due: bool


@dataclass(frozen=True, slots=True)
class CheckDue:
    """A tool or an instrument and when it is to be checked; `instrument` tells the two apart. No date: none on record."""

    id: int
    table_id: str
    name: str
    instrument: bool
    due: date | None
    is_due: bool
    words: str


def torque_tools() -> list[ToolSpec]:
    """Return the torque tools in use, as the engine takes them; the engine's tool id is the record's id."""
    return list(_torque_tools())


@once_a_look.of(Tool)
def tools_in_use() -> tuple[Tool, ...]:
    """Return what hangs here and is in use, in the order in which it was hung."""
    return tuple(Tool.objects.filter(in_use=True).order_by("pk"))


@once_a_look
def _torque_tools() -> tuple[ToolSpec, ...]:
    rows = [tool for tool in tools_in_use() if tool.table_id in tables().torque_tools]
    checks = _torque_checks(rows)
    clicks = _clicks(rows, checks)
    asked = (_asked(tool, checks.get(tool.pk, []), clicks.get(tool.pk, 0)) for tool in rows)
    return tuple(one for one in asked if one is not None)


def torque_tool(tool: Tool) -> ToolSpec | None:
    """Return one tool as the torque engine takes it, or None if it shows no torque."""
    checks = _torque_checks([tool])
    return _asked(tool, checks.get(tool.pk, []), _clicks([tool], checks).get(tool.pk, 0))


def last_torque_check(tool: Tool) -> ToolCheck | None:
    """Return the last check of a tool's torque that stands, by certificate or by a weight."""
    return next(reversed(_torque_checks([tool]).get(tool.pk, [])), None)


def _standing_checks() -> QuerySet[ToolCheck]:
    """Checks that no later event corrects, oldest first."""
    rows = ToolCheck.objects.filter(event__corrected_by__isnull=True)
    return rows.select_related("event").order_by("day", "pk")


def _torque_checks(tools: Iterable[Tool]) -> Mapping[int, list[ToolCheck]]:
    """The checks of each tool's torque that stand, oldest first."""
    found: dict[int, list[ToolCheck]] = {}
    for check in _checks_of_torque(tuple(tool.pk for tool in tools)):
        found.setdefault(check.tool_id, []).append(check)
    return found


@prepared
def _checks_of_torque(tools: tuple[int, ...]) -> QuerySet[ToolCheck]:
    return _standing_checks().filter(tool__in=tools, event__kind__in=OF_TORQUE)


def _since_calibration(checks: list[ToolCheck]) -> list[ToolCheck]:
    """The last calibration and what was tried after it; all of them where there was none."""
    last = max((at for at, one in enumerate(checks) if one.event.kind == CALIBRATED), default=0)
    return checks[last:]


def _clicks(tools: Iterable[Tool], checks: Mapping[int, list[ToolCheck]]) -> Mapping[int, int]:
    """Bolts that each tool has tightened on record since its last calibration: a lower bound of its cycles."""
    counted: dict[int, int] = {}
    since: dict[int, int] = {}
    for tool in tools:
        found = _since_calibration(checks.get(tool.pk, []))
        first = _first_act_after(found[0].day) if found else 0
        if first is not None:
            since[tool.pk] = first
    joints = tables().joints
    pairs = (one for pair in since.items() for one in pair)
    for number, joint, count in _bolts_by_joint(*pairs) if since else ():
        row = joints.get(joint_id(joint))
        counted[number] = counted.get(number, 0) + count * (row.count if row else 1)
    return counted


@prepared
def _bolts_by_joint(*since: int) -> QuerySet[DoneValue, tuple[int, str, int]]:
    """Tool, joint and how often it was tightened or tried with it, of each tool from an act on (0: ever): *since* are these two in turn.

    Each tool is asked by itself, in one statement with the others: each is walked along the index from its act on.
    """
    parts = [
        rows.filter(tool=tool, event__gte=act)
        .values_list("tool", "joint")
        .annotate(count=Count("pk"))
        .order_by()
        for rows in (DoneValue.objects, RoundTick.objects)
        for tool, act in zip(since[::2], since[1::2], strict=True)
    ]
    return cast(QuerySet[DoneValue, tuple[int, str, int]], parts[0].union(*parts[1:], all=True))


@once_a_look
def _first_act_after(day: date) -> int | None:
    """Number of the first act after a day, None where there is none yet.

    Acts are numbered as they come, so that what came later is found without their times.
    """
    next_day = timezone.make_aware(datetime.combine(day + timedelta(days=1), time()))
    return _acts_from.first(next_day)


@prepared
def _acts_from(moment: datetime) -> QuerySet[Event, int]:
    return Event.objects.filter(at__gte=moment).order_by("at").values_list("pk", flat=True)[:1]


def _asked(tool: Tool, checks: list[ToolCheck], clicks: int) -> ToolSpec | None:
    row = tables().torque_tools.get(tool.table_id)
    if row is None:
        return None
    of_class = class_deviation(tables().torque_classes[row.class_], row.range[1])
    standing = _since_calibration(checks)
    calibrated = any(check.event.kind == CALIBRATED for check in standing)
    due = standing[0].due if standing else None
    if clicks >= MOST_CLICKS and standing:
        # Due by its cycles, whatever the calendar says.
        due = min(due or standing[0].day, standing[0].day)
    return ToolSpec(
        id=str(tool.pk),
        name=tool.name,
        least=row.range[0],
        greatest=row.range[1],
        # A certificate may be better than the class at its points; between them and with age the class is what is promised.
        deviation=max([of_class, *(check.deviation or 0.0 for check in standing)]),
        step=row.step or 0.1,
        steps=row.steps,
        due=due,
        arm=tool.arm_mm,
        tested_from=_tested_from(standing, row),
        untested=not (calibrated or tables().torque_classes[row.class_].keeps),
        points=tuple((one.shown, one.deviation) for one in _certified(standing)),
    )


def _tested_from(standing: list[ToolCheck], row: TorqueTool) -> float | None:
    """The lowest torque that the last certificate covers by its points; None where it has none: then it is a fifth."""
    lowest = min((point.shown for point in _certified(standing)), default=None)
    return lowest if lowest is not None and row.range[0] <= lowest <= row.range[1] else None


def _certified(standing: list[ToolCheck]) -> tuple[CalibrationPoint, ...]:
    """The points of the last certificate, where it has any."""
    return tuple(
        point for check in standing[:1] if check.event.said.get("points") for point in _points(check)
    )


def adapters() -> dict[str, float]:
    """Return the adapters that hang here with their length from drive to bolt, by what they take hold of. [mm]"""
    rows = [tool for tool in tools_in_use() if tool.arm_mm and tool.table_id.startswith(ADAPTER)]
    return {drive: row.arm_mm for row in rows for drive in tables().tools[row.table_id].covers if row.arm_mm}


def class_deviation(row: TorqueClass, greatest: float) -> float:
    """Return what a class permits a tool with this greatest value. [-]"""
    if row.deviation is not None:
        return row.deviation
    found = row.deviation_to_10 if greatest <= 10 else row.deviation_over_10
    assert found is not None  # the table loader holds one of the three
    return found


def drifts(today: date) -> dict[str, str]:
    """Return a sentence for each torque tool in use that drifted by over half of what is permitted, by the engine's tool id."""
    rows = list(Tool.objects.filter(in_use=True, table_id__in=list(tables().torque_tools)))
    checks = _torque_checks(rows)
    found = {str(tool.pk): _drift(tool, checks.get(tool.pk, []), today) for tool in rows}
    return {tool: words for tool, words in found.items() if words}


def _drift(tool: Tool, checks: list[ToolCheck], today: date) -> str:
    """What two calibrations with their points say; '' where they say nothing or the tool stands still."""
    pointed = [check for check in checks if check.event.kind == CALIBRATED and check.event.said.get("points")]
    row = tables().torque_tools.get(tool.table_id)
    if len(pointed) < 2 or row is None:
        return ""
    then, now = (_points(check) for check in pointed[-2:])
    permitted = class_deviation(tables().torque_classes[row.class_], row.range[1])
    # The calendar is told elsewhere, so only the drift is asked about.
    state = tool_state(TorqueToolRecord(tool.name, permitted, today, then=then, now=now), today)
    return state.words if state.verdict is Verdict.WATCH else ""


def _points(check: ToolCheck) -> tuple[CalibrationPoint, ...]:
    return tuple(CalibrationPoint(one["shown_n_m"], one["true_n_m"]) for one in check.event.said["points"])


@once_a_look
def tool_board(today: date) -> tuple[tuple[ToolView, ...], tuple[InstrumentView, ...]]:
    """Return all tools and all instruments."""
    tools = list(Tool.objects.order_by("pk"))
    checks = _torque_checks(tools)
    last = {check.tool_id: check for check in _standing_checks().filter(tool__in=tools)}
    clicks = _clicks([one for one in tools if one.table_id in tables().torque_tools], checks)
    seen = (
        _tool_seen(one, checks.get(one.pk, []), last.get(one.pk), clicks.get(one.pk, 0), today)
        for one in tools
    )
    rows = InstrumentCheck.objects.filter(event__corrected_by__isnull=True).order_by("day", "pk")
    newest = {row.instrument_id: row for row in rows}
    return tuple(seen), tuple(
        _instrument_seen(one, newest.get(one.pk), today) for one in Instrument.objects.order_by("pk")
    )


def due_list(today: date) -> tuple[CheckDue, ...]:
    """Return what is to be checked, the soonest first: torque tools and all that has a term in the tables."""
    tools, instruments = tool_board(today)
    found = [
        CheckDue(one.id, one.table_id, one.name, False, one.due, one.is_due, _due_words(one, today))
        for one in tools
        if one.in_use and (one.checked_by == BY_TORQUE or one.due is not None)
    ]
    found += [
        CheckDue(
            one.id,
            one.table_id,
            one.name,
            True,
            one.due,
            one.is_due,
            worded("never checked here") if one.due is None else "",
        )
        for one in instruments
        if one.in_use and (one.due is not None or _term(one.table_id) is not None)
    ]
    # Without any date on record it is not known to be good: that comes first.
    return tuple(sorted(found, key=lambda one: (one.due or date.min, one.name)))


def _term(table_id: str) -> int | None:
    row = tables().instruments.get(table_id)
    return row.check_every_months if row else None


def _due_words(one: ToolView, today: date) -> str:
    if one.clicks >= MOST_CLICKS:
        return worded(
            "{clicks} clicks on record, {most_clicks} at most",
            clicks=figure_text(one.clicks),
            most_clicks=figure_text(MOST_CLICKS),
        )
    if one.due is None:
        return (
            worded("no calibration on record")
            if one.checked_by == BY_TORQUE
            else worded("never checked here")
        )
    return (
        worded(
            "{clicks} of {most_clicks} clicks on record",
            clicks=figure_text(one.clicks),
            most_clicks=figure_text(MOST_CLICKS),
        )
        if one.checked_by == BY_TORQUE
        else ""
    )


def months_on(day: date, months: int) -> date:
    """Return the same day so many months later, the last of the month where there is no such day."""
    year, month = divmod(day.month - 1 + months, 12)
    first = date(day.year + year, month + 1, 1)
    following = date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return min(first + timedelta(days=day.day - 1), following - timedelta(days=1))


def _tool_seen(
    tool: Tool, checks: list[ToolCheck], last: ToolCheck | None, clicks: int, today: date
) -> ToolView:
    asked = _asked(tool, checks, clicks)
    row = tables().tools.get(tool.table_id)
    every = row.every if row else None
    due = asked.due if asked else (months_on(last.day, every) if last and every else None)
    measured = row is not None and (row.lobe_a is not None or row.size_min is not None)
    return ToolView(
        id=tool.pk,
        name=tool.name,
        table_id=tool.table_id,
        hangs=tool.hangs,
        in_use=tool.in_use,
        least=asked.least if asked else None,
        greatest=asked.greatest if asked else None,
        deviation=deviation_on(asked, today) if asked else None,
        due=due,
        is_due=due is not None and due <= today,
        checked_by=BY_TORQUE if asked else (BY_SIZE if measured else BY_EYE),
        check=row.check if row else "",
        size_least=row.size_min if row else None,
        size_greatest=(row.size_max or row.lobe_a) if row else None,
        worn_at=row.worn_at if row else None,
        checked=last.day if last else None,
        checked_words=last.words if last else "",
        clicks=clicks,
        drift_words=_drift(tool, checks, today),
        untested=asked is not None and asked.untested,
        points=_certified(_since_calibration(checks)) if asked else (),
        arm=tool.arm_mm,
        is_adapter=tool.table_id.startswith(ADAPTER),
    )


def _instrument_seen(one: Instrument, check: InstrumentCheck | None, today: date) -> InstrumentView:
    row = tables().instruments.get(one.table_id)
    term = row.check_every_months if row else None
    due = months_on(check.day, term) if check and term else None
    return InstrumentView(
        id=one.pk,
        name=one.name,
        table_id=one.table_id,
        in_use=one.in_use,
        reads=row.reads if row else "",
        unit=(row.unit or "percent") if row else "",
        bias=check.bias if check and check.bias is not None else (row.bias if row else None),
        checked=check.day if check else None,
        check=row.check if row else "",
        checked_words=check.words if check else "",
        due=due,
        is_due=due is not None and due <= today,
    )
