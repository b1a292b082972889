"""The bolt round: a bike's joints tried again after the first ride, every month, or all of them; each tick is kept."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.engines.torque import JointSpec, TorqueRange, first_ride, judge_done, monthly, whole_round
from pinchbolt.errors import AsksSure, InputRefused, NoSafeAnswer, NotPossibleNow, Unknown
from pinchbolt.records.models import Bike, DoneValue, RoundTick, Tool
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag, tool_by_id
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.bikes.joint_names import joint_names
from pinchbolt.workshop.bikes.opened_joints import JointQuestion, joint_questions
from pinchbolt.workshop.common.checks import local_day, number
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.tools.tool_board import months_on, torque_tool
from pinchbolt.workshop.torque._untested import said_of_untested
from pinchbolt.workshop.torque.joint_windows import has_no_torque, joint_row, joint_window
from pinchbolt.workshop.torque.torque_sheet import JointView, joint_view, sheet_of

WHOLE, FIRST, MONTHLY, DUE = "whole", "first-ride", "monthly", "due"
ROUNDS: Mapping[str, str] = {
    WHOLE: worded("every bolt"),
    FIRST: worded("after the first 100 km"),
    MONTHLY: worded("every month"),
    DUE: worded("due now"),
}
"""Which joints a round takes, and how that is said."""
_SHAKEN = ("gravel", "mtb", "cargo")
_MOVED = worded("It moved: look at it again after the next ride.")


@dataclass(frozen=True, slots=True)
class TickRequest:
    """A joint that was tried: it held at its setting, or it moved and was tightened to `done_n_m` with `tool`. [N·m]

    `sure` keeps a value out of its window: it was done, and it is written as it was.
    """

    tag: str
    joint: str
    held: bool
    tool: int | None = None
    done_n_m: float | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class TickView:
    """A tick of the round; `done` is None where the joint held or was tried by hand. [N·m]"""

    id: int
    held: bool
    set: float | None
    done: float | None
    inside: bool
    words: str
    tool: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class RoundJoint:
    """A joint of the round: as on the torque sheet, its terms, when it was last tightened or tried, and today's tick.

    `warnings` are those that no other joint of the round shares.
    """

    joint: JointView
    warnings: tuple[str, ...]
    recheck_months: int
    first_km: int | None
    last: date | None
    due: date | None
    is_due: bool
    tick: TickView | None


@dataclass(frozen=True, slots=True)
class RoundView:
    """A bolt round of a bike, in working order; `warnings` are those that several joints share, such as of their tool.

    `open`: what decides which further joints of this round the bike has.
    """

    tag: str
    words: str
    owner: str
    which: str
    joints: tuple[RoundJoint, ...]
    ticked: int
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    open: tuple[JointQuestion, ...] = ()


def usual_round(kind: str) -> str:
    """Return the round that a kind of bike gets: all of it where the bike is shaken, else what is checked monthly."""
    return WHOLE if kind in _SHAKEN else MONTHLY


@one_look()
def bolt_round(tag: str, which: str, now: datetime) -> RoundView:
    """Return a bike's round; *which* is one of `ROUNDS`, or '' for the usual one of its kind.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No such round.
    """
    bike = bike_by_tag(tag)
    chosen = which or usual_round(bike.kind)
    if chosen not in ROUNDS:
        sentence = worded(
            'There is no round "{chosen}": {rounds}. Choose one.',
            chosen=chosen[:30],
            rounds=", ".join(ROUNDS),
        )
        raise InputRefused(sentence, {"which": sentence})
    today = local_day(now)
    last, ticks = _last(bike), _ticks(bike, today)
    build = build_of(bike)
    names = _taken(joint_names(build), chosen, last, today)
    sheet = sheet_of(bike, names, {}, today, build).joints
    said = Counter(words for seen in sheet for words in seen.warnings)
    shared = {words for words, times in said.items() if times > 1}
    joints = tuple(
        _round_joint(seen, shared, last.get(seen.joint), ticks.get(seen.joint), today) for seen in sheet
    )
    return RoundView(
        tag=bike.tag,
        words=bike.words,
        owner=bike.owner.name,
        which=chosen,
        joints=joints,
        ticked=sum(one.tick is not None for one in joints),
        warnings=tuple(words for words in said if words in shared),
        cautions=cautions(bike),
        open=joint_questions(build, lambda one: bool(_taken([one.name], chosen, last, today))),
    )


def tick_joint(request: TickRequest, *, by: int, key: str, now: datetime) -> TickView:
    """Write a tick of the round down; a further one of the same day corrects the earlier one.

    Raises:
        InputRefused: Not a joint of this bike, no value for one that moved, or one out of its window and not said to be sure.
        NotPossibleNow: Nothing here is sure to try it, so it can't be said to hold; or the tool shows no torque.
    """
    with act("round tick", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _tick_seen(RoundTick.objects.get(event=this.done_before))
        bike, day = bike_by_tag(request.tag), local_day(now)
        if request.joint not in joint_names(build_of(bike)):
            sentence = worded(
                '{tag} has no joint "{joint}". Choose one of its round.',
                tag=bike.tag,
                joint=request.joint[:40],
            )
            raise InputRefused(sentence, {"joint": sentence})
        seen = joint_view(request.joint, bike, None, day)
        fields = _held(seen) if request.held else _moved(request, bike, day)
        old = RoundTick.objects.filter(
            bike=bike, joint=request.joint, day=day, event__corrected_by__isnull=True
        ).first()
        event = this.write(bike=bike, corrects=old.event if old else None)
        row = RoundTick.objects.create(
            event=event, bike=bike, joint=request.joint, held=request.held, day=day, **fields
        )
        return _tick_seen(row)


def _held(seen: JointView) -> dict[str, object]:
    """A joint that held: tried at the sheet's setting, or by hand where it is done by hand."""
    if seen.setting is not None:
        words = worded(
            "Held: {tool_name} clicked at {set:g} N·m and nothing turned.",
            tool_name=seen.tool_name,
            set=seen.setting.set,
        )
        return {
            "tool_id": int(seen.setting.tool),
            "set_n_m": seen.setting.set,
            "inside": True,
            "words": words,
        }
    if seen.by_hand:
        how = worded("its lock in place") if seen.window is not None else seen.pattern
        return {"inside": True, "words": worded("Held: tried by hand, {how}.", how=how)[:300]}
    raise NotPossibleNow(
        worded(
            "{name} can't be said to hold, because no setting is sure: {refused}",
            name=seen.name,
            refused=seen.refused[:180],
        )
    )


def _moved(request: TickRequest, bike: Bike, day: date) -> dict[str, object]:
    if has_no_torque(joint_row(request.joint)):
        raise NotPossibleNow(
            worded(
                "{joint_name} takes no torque tool: close it as its line says, and tick it as held.",
                joint_name=joint_name(request.joint),
            )
        )
    if request.done_n_m is None or request.tool is None:
        sentence = worded("It moved: type what the tool showed, in N·m, and choose the tool.")
        raise InputRefused(sentence, {"done_n_m": sentence})
    done = number(request.done_n_m, "done_n_m", worded("The torque saved"), 0.1, 300, "N·m")
    tool = tool_by_id(request.tool)
    inside, words = _judged(request.joint, bike, tool, done, day)
    words += said_of_untested(tool, joint_row(request.joint), day, sure=request.sure)
    if not inside and not request.sure:
        sentence = worded("{words} Was it really so? Then save it again.", words=words)
        raise AsksSure(sentence, {"done_n_m": sentence})
    return {"tool": tool, "done_n_m": done, "inside": inside, "words": f"{words} {_MOVED}"[:300]}


def _judged(joint: str, bike: Bike, tool: Tool, done: float, day: date) -> tuple[bool, str]:
    as_asked = torque_tool(tool)
    if as_asked is None:
        raise NotPossibleNow(
            worded("{name} shows no torque: choose a torque tool from the board.", name=tool.name)
        )
    try:
        found = joint_window(joint, bike)
    except (NoSafeAnswer, Unknown) as refusal:
        return False, refusal.sentence
    judged = judge_done(found, as_asked, done, day)
    return judged.inside, judged.words


def _taken(joints: Iterable[str], which: str, last: Mapping[str, date], today: date) -> list[str]:
    """Those of these joints that a round takes, those that can throw the rider first."""
    asked = [_as_asked(name) for name in joints if joint_row(name).tried_again]
    if which == FIRST:
        found = first_ride(asked)
    elif which == MONTHLY:
        found = monthly(asked)
    else:
        found = whole_round(asked)
    names = [one.id for one in found]
    return [name for name in names if _is_due(name, last.get(name), today)] if which == DUE else names


def _as_asked(name: str) -> JointSpec:
    row = joint_row(name)
    return JointSpec(
        id=name,
        name=joint_name(name),
        parts=row.parts,
        trade=TorqueRange(row.low, row.high, row.typical, row.source),
        critical=row.critical,
        recheck_months=row.recheck,
        first_km=row.first_km,
    )


def _due(name: str, last: date | None) -> date | None:
    return months_on(last, joint_row(name).recheck) if last is not None else None


def _is_due(name: str, last: date | None, today: date) -> bool:
    due = _due(name, last)
    return due is None or due <= today


def _last(bike: Bike) -> dict[str, date]:
    """The day on which each joint of a bike was last tightened or tried on record."""
    found: dict[str, date] = {}
    done = DoneValue.objects.filter(job__bike=bike, event__corrected_by__isnull=True)
    for joint, at in done.values_list("joint", "event__at"):
        found[joint] = max(found.get(joint, date.min), local_day(at))
    ticks = RoundTick.objects.filter(bike=bike, event__corrected_by__isnull=True)
    for joint, day in ticks.values_list("joint", "day"):
        found[joint] = max(found.get(joint, date.min), day)
    return found


def _ticks(bike: Bike, today: date) -> dict[str, TickView]:
    rows = RoundTick.objects.filter(bike=bike, day=today, event__corrected_by__isnull=True)
    return {row.joint: _tick_seen(row) for row in rows.select_related("tool", "event__by")}


def _tick_seen(row: RoundTick) -> TickView:
    return TickView(
        row.pk,
        row.held,
        row.set_n_m,
        row.done_n_m,
        row.inside,
        row.words,
        row.tool.name if row.tool else worded("by hand"),
        row.event.by.name,
        row.event.at,
    )


def _round_joint(
    seen: JointView, shared: Collection[str], last: date | None, tick: TickView | None, today: date
) -> RoundJoint:
    row = joint_row(seen.joint)
    return RoundJoint(
        joint=seen,
        warnings=tuple(words for words in seen.warnings if words not in shared),
        recheck_months=row.recheck,
        first_km=row.first_km,
        last=last,
        due=_due(seen.joint, last),
        is_due=_is_due(seen.joint, last, today),
        tick=tick,
    )
