"""The torque sheet: every joint that the agreed work opens, in working order, with tool, setting and why."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import QuerySet

from pinchbolt.engines.build import ELSEWHERE, Build, JointFigures, JointOn
from pinchbolt.engines.build import joints_of as joints_of_build
from pinchbolt.engines.torque import (
    Before,
    JointWindow,
    OnSheet,
    Setting,
    SheetLine,
    ToolSpec,
    best_setting,
    sheet_order,
)
from pinchbolt.errors import NoSafeAnswer, NotPossibleNow, Unknown
from pinchbolt.records.models import Bike, DoneValue, Job, Line, Marking
from pinchbolt.records.prepared import prepared
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import once_a_look, one_look
from pinchbolt.workshop.acts.state import events_told, still_open
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.cautions import cautions_at
from pinchbolt.workshop.bikes.joint_names import joint_end, joint_id
from pinchbolt.workshop.bikes.opened_joints import JointQuestion, joints_of_lines, questions_of_lines
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.standing import lines_that_may_be_open, open_lines
from pinchbolt.workshop.tools.found_out import doubts
from pinchbolt.workshop.tools.tool_board import adapters, drifts, torque_tools
from pinchbolt.workshop.torque._crow_foot import with_crow_foot
from pinchbolt.workshop.torque._heads_here import HeadsHere, heads_here, said_of_heads
from pinchbolt.workshop.torque._markings import MarkedHere, marked_here, markings_at
from pinchbolt.workshop.torque.bolt_read import BoltView, bolt_of, head_read, socket_said, thread_read
from pinchbolt.workshop.torque.done_view import DoneView, done_view
from pinchbolt.workshop.torque.joint_windows import (
    asked_of_figures,
    cases_of,
    figures_here,
    has_no_torque,
    is_by_hand,
    joint_row,
    kinds_clamped,
    known_drives,
    unknown_of,
    weak_at,
    why_these_figures,
    window_by,
)

FEWEST_IN_A_RING = 3
_A_PAIR = 2


@dataclass(frozen=True, slots=True)
class AddJointRequest:
    """A joint to put on the sheet by hand."""

    job: int
    joint: str


BY_HAND = worded("By hand, with its clip or lock in place: no torque tool goes this low.")


@dataclass(frozen=True, slots=True)
class JointView:
    """One joint on the sheet. Where no answer is safe, `setting` is None and `refused` says why; `window` may be None too.

    `new_setting`: the tool is taken up or set anew for this joint. `by_hand`: so little torque that no torque tool reaches
    down to it, or nothing there for a tool to take hold of; it is done by hand and said so. `bolt`: what the setting buys,
    where the thread is known. `cautions`: those that bite at this joint of this bike. `drive`: the head that was read on it
    (`head_read`), or every usual one. `counter`: what holds the other side. `targeted`: a maker names the value to use.
    `socket`: that of its screw is rounded, or may be.
    """

    joint: str
    name: str
    place: str
    count: int
    drive: tuple[str, ...]
    hand: str
    preparation: str
    pattern: str
    parts: tuple[str, ...]
    critical: str
    caution: str
    conflict: str
    window: JointWindow | None
    setting: Setting | None
    tool_name: str
    refused: str
    by_hand: bool
    new_setting: bool
    reasons: tuple[Reason, ...]
    warnings: tuple[str, ...]
    markings: tuple[str, ...]
    done: DoneView | None
    bolt: BoltView | None
    cautions: tuple[str, ...]
    asks: tuple[str, ...] = ()
    targeted: bool = False
    head_read: bool = False
    counter: tuple[str, ...] = ()
    usual_drives: tuple[str, ...] = ()
    star: bool = False
    passes: int = 1
    socket: tuple[str, ...] = ()
    threads: tuple[str, ...] = ()
    marked: tuple[MarkedHere, ...] = ()

    @property
    def set_then(self) -> float | None:
        """The setting that a done value was made at, which today's setting never takes the place of. [N·m]"""
        return self.done.set if self.done is not None and self.done.holds else None

    @property
    def in_order(self) -> bool:
        """Whether its bolts have an order or passes that can be drawn: a ring, or two by turns and more than once."""
        return self.star or (self.count == _A_PAIR and self.passes > 1)

    @property
    def no_head(self) -> bool:
        """Whether there is nothing for a tool to take hold of."""
        return self.usual_drives in ((), ("hand",))


@dataclass(frozen=True, slots=True)
class OrderView:
    """How good the working order is: settings in all, what no order is under, whether fewer are impossible, and why."""

    settings: int
    at_least: int
    proven: bool
    words: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class SheetView:
    """Joints in working order, and the proof of that order; `open`: what decides which further joints the bike has."""

    joints: tuple[JointView, ...]
    order: OrderView
    open: tuple[JointQuestion, ...] = ()


def add_joint(request: AddJointRequest, *, by: int, key: str, now: datetime) -> None:
    """Put a joint on the torque sheet of a job.

    Raises:
        InputRefused: The joint is not in the table.
        NotPossibleNow: The joint is on the sheet already, or the job is closed.
    """
    with act("joint added", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        job = job_by_id(request.job)
        still_open(job)
        row = joint_row(request.joint)
        if request.joint in joints_of(job):
            raise NotPossibleNow(worded('"{name}" is on the torque sheet already.', name=row.name))
        this.write(job=job)


def joints_of(job: Job, build: Build | None = None) -> tuple[str, ...]:
    """Return the joints of a job's sheet in the order of the table: of the lines that may have opened them, added by hand, or done already.

    *build* is the bike's, where it was read before.
    """
    there = build_of(job.bike) if build is None else build
    by_hand = {event.said["joint"] for event in events_told(job, "joint added")}
    wanted = joints_of_lines(job, _opening(job), there) | by_hand | {row.joint for row in _done(job.pk)}
    order = {joint: place for place, joint in enumerate(tables().joints)}
    return tuple(sorted(wanted, key=lambda name: (order.get(joint_id(name), len(order)), name)))


def questions_of(job: Job, build: Build) -> tuple[JointQuestion, ...]:
    """Return what must be found out before it is known which joints the agreed work of a job opens."""
    return questions_of_lines(_opening(job), build)


@once_a_look
def _opening(job: Job) -> tuple[Line, ...]:
    """Lines whose work opens joints, or may have: one that was begun and given back is not closed by itself."""
    wanted = lines_that_may_be_open(job)
    return tuple(line for line in open_lines(job) if line.pk in wanted)


def torque_sheet(job: Job, today: date) -> tuple[JointView, ...]:
    """Return the sheet of a job in working order, with the fewest changes of tool and setting that the order allows."""
    return sheet_with_order(job, today).joints


@one_look()
def sheet_with_order(job: Job, today: date) -> SheetView:
    """Return the sheet of a job in working order, and the proof that no order needs fewer settings."""
    build = build_of(job.bike)
    sheet = sheet_of(job.bike, joints_of(job, build), _done_values(job), today, build)
    return replace(sheet, open=questions_of(job, build))


def sheet_of(
    bike: Bike,
    joints: Iterable[str],
    done: Mapping[str, DoneView],
    today: date,
    build: Build | None = None,
) -> SheetView:
    """Return these joints of a bike in working order, with the fewest changes of tool and setting."""
    given = _given(bike, today, build)
    tools = given.tools
    seen = {joint: _seen(joint, bike, done.get(joint), given) for joint in joints}
    on_sheet = [
        OnSheet(
            name,
            None if one.by_hand else one.window,
            joint_id(name),
            joint_end(name),
            one.drive[0],
            may_move=one.critical != "A" and not one.targeted,
        )
        for name, one in seen.items()
    ]
    rows = tables().joint_order.values()
    before = [Before(row.id, row.first, row.then, row.words, row.source, row.end) for row in rows]
    ordered = sheet_order(on_sheet, before, tools, today)
    names = {tool.id: tool.name for tool in tools}
    lines = (_on_line(seen[line.joint], line, names, given, bike) for line in ordered.lines)
    why = ordered.reasons
    return SheetView(
        tuple(lines), OrderView(ordered.settings, ordered.at_least, ordered.proven, why[0].words, why)
    )


def _on_line(
    seen: JointView, line: SheetLine, names: Mapping[str, str], given: "_Given", bike: Bike
) -> JointView:
    """The joint with the setting that it shares with its neighbours on the sheet, where there is one."""
    if line.setting is None or seen.setting is None:
        return seen
    own = len(seen.setting.reasons)
    window_reasons = seen.reasons[:-own] if own else seen.reasons
    window_warnings = seen.window.warnings if seen.window else ()
    return replace(
        seen,
        setting=line.setting,
        tool_name=names.get(line.setting.tool, ""),
        new_setting=line.new_setting,
        reasons=(*window_reasons, *line.setting.reasons),
        warnings=(
            *seen.asks,
            *seen.socket,
            *window_warnings,
            *line.setting.warnings,
            *_drift(line.setting, given.drifted),
            *_of_the_tool(line.setting, seen.window, seen.drive, given),
        ),
        bolt=bolt_of(bike, seen.joint, joint_row(seen.joint), line.setting.applies),
    )


def _drift(setting: Setting | None, drifted: Mapping[str, str]) -> tuple[str, ...]:
    """What is to be said of the tool's drift, where there is any."""
    words = drifted.get(setting.tool, "") if setting else ""
    return (words,) if words else ()


def undone_joints(job: Job, build: Build | None = None) -> dict[str, str]:
    """Return the joints of a job's sheet that are not done inside their window, each with a sentence."""
    done = _done_values(job)
    open_ones = {
        name: done.get(name) for name in joints_of(job, build) if name not in done or not done[name].holds
    }
    return {name: f"{joint_name(name)}: {_undone_words(value)}" for name, value in open_ones.items()}


def _undone_words(value: DoneView | None) -> str:
    if value is None:
        return worded("torque not saved yet.")
    return worded("torque saved outside its range.") if not value.inside else value.doubt


def joint_view(name: str, bike: Bike, job: Job | None, today: date) -> JointView:
    """Return one joint of a bike: window, tool and setting, or the sentence that says why there is none."""
    done = _done_values(job).get(name) if job else None
    return _seen(name, bike, done, _given(bike, today))


@dataclass(frozen=True, slots=True)
class _Given:
    """What every joint of a sheet is judged by: the tools of the board, their drift, the bike and its joints by name."""

    tools: list[ToolSpec]
    drifted: Mapping[str, str]
    build: Build
    joints: Mapping[str, JointOn]
    adapters: Mapping[str, float]
    heads: HeadsHere
    today: date


def _given(bike: Bike, today: date, build: Build | None = None) -> _Given:
    there = build_of(bike) if build is None else build
    joints = {one.name: one for one in joints_of_build(there)}
    return _Given(torque_tools(), drifts(today), there, joints, adapters(), heads_here(), today)


def _seen(
    name: str,
    bike: Bike,
    done: DoneView | None,
    given: _Given,
) -> JointView:
    row = tables().joints.get(joint_id(name))
    if row is None:
        return _in_no_table(name, done)
    joint = given.joints.get(name)
    marked = markings_at(bike, name)
    read = tuple(marked_here(marking) for marking in marked)
    clamps = kinds_clamped(joint, given.build, row)
    figures = figures_here(joint, given.build, row, thread_read(bike, name))
    found, setting, refused = _answered(figures, clamps, marked, given)
    # Nobody needs to hear of the tool that there is not: a hand closes it.
    too_low = found is not None and setting is None and is_by_hand(found)
    names = {tool.id: tool.name for tool in given.tools}
    asks = (*unknown_of(joint), *(() if has_no_torque(row) else asked_of_figures(figures)))
    socket = socket_said(bike, name)
    head = head_read(bike, name)
    return JointView(
        joint=name,
        name=joint_name(name),
        place=row.place,
        count=row.count,
        drive=known_drives(row, (head,)),
        hand=row.hand,
        preparation=figures.prep,
        pattern=row.pattern,
        parts=clamps,
        critical=row.critical,
        caution=row.caution,
        conflict=row.conflict,
        window=found,
        setting=setting,
        tool_name=names.get(setting.tool, "") if setting else "",
        refused=refused if not too_low else BY_HAND,
        by_hand=has_no_torque(row) or too_low,
        new_setting=True,
        reasons=(*_why(found, figures), *(setting.reasons if setting else ())),
        warnings=(
            *asks,
            *socket,
            *(found.warnings if found else ()),
            *(setting.warnings if setting else ()),
            *_drift(setting, given.drifted),
            *_of_the_tool(setting, found, known_drives(row, (head,)), given),
        ),
        markings=tuple(one.words for one in read),
        marked=read,
        done=done,
        bolt=bolt_of(bike, name, row, setting.applies) if setting else None,
        cautions=cautions_at(row, given.build),
        asks=asks,
        socket=socket,
        targeted=any(marking.target is not None for marking in marked),
        head_read=bool(head),
        counter=row.counter,
        usual_drives=row.drive,
        star=row.star and row.count >= FEWEST_IN_A_RING,
        passes=row.passes,
        threads=tuple(dict.fromkeys(thread for case in cases_of(row) for thread in case.threads)),
    )


def _answered(
    figures: JointFigures, clamps: tuple[str, ...], marked: list[Marking], given: _Given
) -> tuple[JointWindow | None, Setting | None, str]:
    """Window and setting of a joint, or the sentence that says why there is none; neither for what takes no tool."""
    if has_no_torque(figures.row):
        return None, None, ""
    found: JointWindow | None = None
    try:
        found = window_by(figures, clamps, marked)
        return found, best_setting(found, given.tools, given.today), ""
    except (NoSafeAnswer, Unknown) as refusal:
        return found, None, refusal.sentence


def _of_the_tool(
    setting: Setting | None, found: JointWindow | None, drives: tuple[str, ...], given: _Given
) -> tuple[str, ...]:
    """What is to be said of the key, of whether it hangs here, and of what stands between wrench and nut."""
    missing = said_of_heads(drives, given.heads, setting is not None)
    if setting is None or found is None:
        return missing
    feet = with_crow_foot(drives, found, setting, given.tools, given.adapters, given.today)
    return (*missing, *weak_at(setting, drives), *feet)


def _why(found: JointWindow | None, figures: JointFigures) -> tuple[Reason, ...]:
    return (*why_these_figures(figures), *(found.reasons if found else ()))


@once_a_look
def _done_values(job: Job) -> Mapping[str, DoneView]:
    """Return the standing done value of each joint of a job."""
    found = _done(job.pk)
    said = doubts(found)
    return {row.joint: done_view(row, said.get(row.pk, "")) for row in found}


@once_a_look
@prepared
def _done(job: int) -> QuerySet[DoneValue]:
    rows = DoneValue.objects.filter(job=job, event__corrected_by__isnull=True)
    return rows.select_related("tool", "event__by").order_by("pk")


def _in_no_table(name: str, done: DoneView | None) -> JointView:
    """A joint whose row was taken out of the tables: it stays on the sheet, open, and nothing is made up for it."""
    said = worded("as its maker says")
    return JointView(
        joint=name,
        name=joint_name(name),
        place=ELSEWHERE,
        count=1,
        drive=(worded("as found"),),
        hand=said,
        preparation=said,
        pattern=said,
        parts=(),
        critical="A",
        caution="",
        conflict="",
        window=None,
        setting=None,
        tool_name="",
        refused=worded(
            '"{name}" is in no table of joints any more: nothing is known of its torque. Put its '
            "row back into the tables.",
            name=name,
        ),
        by_hand=False,
        new_setting=True,
        reasons=(),
        warnings=(),
        markings=(),
        done=done,
        bolt=None,
        cautions=(),
    )
