"""What leaves with the bike: work done by whom and when, what was declined or not looked at, what to check at home."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import all_hold
from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import JobState, Where, job_state
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.what_was_new import with_new
from pinchbolt.workshop.leaving.call_back import CallBack, back_of
from pinchbolt.workshop.leaving.hand_over import handed_over
from pinchbolt.workshop.leaving.sign_off import ItemView, sign_off_list
from pinchbolt.workshop.looks.walk_list import LookedCount, looked_count
from pinchbolt.workshop.stays.complaints import ComplaintView, complaints_of
from pinchbolt.workshop.stays.not_seen import NotSeenView
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate, line_words
from pinchbolt.workshop.stays.walk_round import places_to_read
from pinchbolt.workshop.torque.torque_sheet import JointView, torque_sheet


@dataclass(frozen=True, slots=True)
class Done:
    """Something done, by whom and when; `line` is the line that was done, 0 for the rest."""

    words: str
    by: str
    at: datetime
    line: int = 0


@dataclass(frozen=True, slots=True)
class HomeCheckView:
    """One line of the owner's check, `every` ride or month; `stop` says what to do if it fails."""

    number: int
    words: str
    stop: str
    every: str = "each month"


@dataclass(frozen=True, slots=True)
class HandoverView:
    """The handover sheet. `signed` and `left` are None until they happened.

    `answered` are the findings whose own line was done. `not_done` was agreed and given back with a reason.

    `unsafe` says why the bike is not to be ridden, empty where it may be; `next_due` is the call-back that was set, or
    that would be set now. `complaints` are those of this stay with what was found; `looked` how much was looked at.
    """

    job: int
    state: JobState
    work: tuple[Done, ...]
    answered: frozenset[int]
    not_done: tuple[LineView, ...]
    declined: tuple[LineView, ...]
    joints: tuple[JointView, ...]
    items: tuple[ItemView, ...]
    findings: tuple[FindingView, ...]
    not_read: tuple[str, ...]
    complaints: tuple[ComplaintView, ...]
    looked: LookedCount
    left_unseen: tuple[str, ...]
    not_seen: tuple[NotSeenView, ...]
    priced: EstimateView
    signed: Done | None
    left: Done | None
    warnings: tuple[str, ...]
    unsafe: tuple[str, ...]
    next_due: CallBack | None
    home_checks: tuple[HomeCheckView, ...]


@one_look()
def handover_sheet(job: Job, now: datetime) -> HandoverView:
    """Return the handover sheet of a job as it stands."""
    priced, listed, ended, state = estimate(job), sign_off_list(job, now), handed_over(job), job_state(job)
    unsafe = tuple(listed.unsafe_declined)
    if state.left_unsafe and not state.signed_off:
        unsafe = unsafe or tuple(listed.stops)
    return HandoverView(
        job=job.pk,
        state=state,
        work=_work(job, {line.id: line_words(line) for line in priced.lines}),
        answered=frozenset(
            line.finding for line in priced.lines if line.is_done and line.finding is not None
        ),
        not_done=tuple(line for line in priced.lines if line.answer == "given back"),
        declined=tuple(line for line in priced.lines if line.answer == "declined"),
        joints=torque_sheet(job, local_day(now)),
        items=listed.items,
        findings=findings_of(job),
        not_read=_not_read(job, now),
        complaints=complaints_of(job),
        looked=looked_count(job, now),
        left_unseen=listed.left_unseen,
        not_seen=listed.not_seen,
        priced=priced,
        signed=_last(job, "signed off", "signed off") if state.signed_off else None,
        left=_last(job, "handed over", "handed over") if state.where is Where.GONE else None,
        warnings=ended.warnings if ended else (),
        unsafe=unsafe,
        next_due=ended.call_back if ended else back_of(job, now),
        home_checks=_home_checks(job),
    )


def _work(job: Job, words: dict[int, str]) -> tuple[Done, ...]:
    events = (
        Event.objects.filter(job=job, kind="line done", corrected_by__isnull=True)
        .select_related("by")
        .order_by("pk")
    )
    return tuple(
        Done(with_new(words[line], event.said), event.by.name, event.at, line)
        for event in events
        if (line := int(event.said["line"])) in words
    )


def _last(job: Job, kind: str, words: str) -> Done | None:
    event = (
        Event.objects.filter(job=job, kind=kind, corrected_by__isnull=True)
        .select_related("by")
        .order_by("-pk")
        .first()
    )
    return Done(words, event.by.name, event.at) if event else None


def _home_checks(job: Job) -> tuple[HomeCheckView, ...]:
    """The owner's check, without the lines that this bike has no use for."""
    build = build_of(job.bike)
    rows = [row for row in tables().home_checks.values() if all_hold(build, row.when).answer is not False]
    return tuple(
        HomeCheckView(number, row.words, row.stop, row.every) for number, row in enumerate(rows, start=1)
    )


def _not_read(job: Job, now: datetime) -> tuple[str, ...]:
    """Parts of this bike's walk-round of which nothing, or not everything, was read in this stay.

    What was said not to be seen is told by itself.
    """
    wanted: dict[str, int] = {}
    taken: dict[str, int] = {}
    for place in places_to_read(job, now):
        for due in place.readings:
            if due.not_seen is not None:
                continue
            wanted[due.part_words] = wanted.get(due.part_words, 0) + 1
            taken[due.part_words] = taken.get(due.part_words, 0) + (due.taken is not None)
    return tuple(
        part
        if not taken[part]
        else worded("{part} ({taken} of {count} readings taken)", part=part, taken=taken[part], count=count)
        for part, count in wanted.items()
        if taken[part] < count
    )
