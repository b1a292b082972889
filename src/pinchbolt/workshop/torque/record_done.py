"""A done value: what the tool showed at the joint; out of the window it asks, and then keeps what was done."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.torque import judge_done
from pinchbolt.errors import AsksSure, NoSafeAnswer, NotPossibleNow, Unknown
from pinchbolt.records.models import DoneValue, Job, Tool
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, tool_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import local_day, number
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.tools.tool_board import torque_tool
from pinchbolt.workshop.torque._untested import said_of_untested
from pinchbolt.workshop.torque.done_view import DoneView, done_view
from pinchbolt.workshop.torque.joint_windows import has_no_torque, joint_row, joint_window
from pinchbolt.workshop.torque.torque_sheet import JointView, joint_view, joints_of


@dataclass(frozen=True, slots=True)
class DoneRequest:
    """Joint, tool and value. `sure` keeps a value that is out of the window: it was done, and it is written as it was. [N·m]"""

    job: int
    joint: str
    tool: int
    done_n_m: float
    set_n_m: float | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class DoneByHandRequest:
    """A joint that was done by hand, with its lock in place."""

    job: int
    joint: str


def tighten_by_hand(request: DoneByHandRequest, *, by: int, key: str, now: datetime) -> DoneView:
    """Write down that a joint too small for any torque tool was done by hand.

    Raises:
        NotPossibleNow: A tool here can do it, it takes more than a hand may guess, it is not on the sheet, or work has not started.
    """
    with act("done value", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return done_view(DoneValue.objects.get(event=this.done_before))
        job = _on_the_sheet(request.job, request.joint)
        seen = joint_view(request.joint, job.bike, job, local_day(now))
        if not seen.by_hand:
            raise NotPossibleNow(
                worded(
                    "{name} is not done by hand: take a torque tool and write its value down.", name=seen.name
                )
            )
        old = DoneValue.objects.filter(job=job, joint=request.joint, event__corrected_by__isnull=True).first()
        row = DoneValue.objects.create(
            event=this.write(job=job, corrects=old.event if old else None),
            job=job,
            joint=request.joint,
            by_hand=True,
            inside=True,
            words=_hand_words(seen),
        )
        return done_view(row)


def _hand_words(seen: JointView) -> str:
    if seen.window is None:
        return worded("Done by hand: {pattern}.", pattern=seen.pattern)[:300]
    return worded("Done by hand with its clip or lock in place: no torque tool goes this low.")


def _on_the_sheet(job_id: int, joint: str) -> Job:
    job = job_by_id(job_id)
    if not still_open(job).started:
        raise NotPossibleNow(worded("The work has not started: put the bike on a stand and start it first."))
    if joint not in joints_of(job):
        raise NotPossibleNow(worded("This joint is not on the torque sheet: add it to the sheet first."))
    return job


def record_done(request: DoneRequest, *, by: int, key: str, now: datetime) -> DoneView:
    """Write a done value down; a further value of the same joint corrects the earlier one.

    Raises:
        InputRefused: Out of sense for this tool, or out of the joint's window and not said to be sure.
        NotPossibleNow: The joint is not on the sheet, the tool shows no torque, or the work has not started.
        NoSafeAnswer, Unknown: The joint has no window to judge against.
    """
    with act("done value", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return done_view(DoneValue.objects.get(event=this.done_before))
        job = _on_the_sheet(request.job, request.joint)
        if has_no_torque(joint_row(request.joint)):
            raise NotPossibleNow(
                worded(
                    "{joint_name} takes no torque tool: close it as its line says, and write it down as "
                    "done by hand.",
                    joint_name=joint_name(request.joint),
                )
            )
        tool = tool_by_id(request.tool)
        done = number(request.done_n_m, "done_n_m", worded("The torque saved"), 0.1, 300, "N·m")
        inside, words = _judged(request, job, tool, done, now)
        doubt = said_of_untested(tool, joint_row(request.joint), local_day(now), sure=request.sure)
        words = f"{words}{doubt}"[:300]
        if not inside and not request.sure:
            sentence = worded("{words} Was it really so? Then save it again.", words=words)
            raise AsksSure(sentence, {"done_n_m": sentence})
        old = DoneValue.objects.filter(job=job, joint=request.joint, event__corrected_by__isnull=True).first()
        row = DoneValue.objects.create(
            event=this.write(job=job, corrects=old.event if old else None),
            job=job,
            joint=request.joint,
            tool=tool,
            set_n_m=request.set_n_m if request.set_n_m is not None else _set_to(request, job, now),
            done_n_m=done,
            inside=inside,
            words=words,
        )
        return done_view(row)


def _set_to(request: DoneRequest, job: Job, now: datetime) -> float | None:
    """What the sheet asks for today of this tool: it is kept with the done value, whatever the sheet says later."""
    setting = joint_view(request.joint, job.bike, job, local_day(now)).setting
    return setting.set if setting is not None and setting.tool == str(request.tool) else None


def _judged(request: DoneRequest, job: Job, tool: Tool, done: float, now: datetime) -> tuple[bool, str]:
    as_asked = torque_tool(tool)
    if as_asked is None:
        raise NotPossibleNow(
            worded("{name} shows no torque: choose a torque tool from the board.", name=tool.name)
        )
    try:
        found = joint_window(request.joint, job.bike)
    except (NoSafeAnswer, Unknown) as refusal:
        # There is no window, so the value can't be inside; it can still be written down by somebody who is sure.
        return False, refusal.sentence
    judged = judge_done(found, as_asked, done, local_day(now))
    return judged.inside, judged.words
