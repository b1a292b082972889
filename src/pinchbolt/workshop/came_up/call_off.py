"""A job ends without a handover: wrong bike, opened twice, taken back at once. And an owner who takes it back half-way."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, Reading
from pinchbolt.values.money import money_sum
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import Act, act, allowed
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop
from pinchbolt.workshop.acts.state import JobState, job_state, still_open
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.leaving.sign_off import stops_going_home
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.payments import came_before
from pinchbolt.workshop.stays.standing import standing_of

WRONG_TAG, TWICE, AT_ONCE, OTHER = (
    as_kept("wrong tag"),
    as_kept("opened twice"),
    as_kept("owner took it back at once"),
    "other",
)
REASONS = (WRONG_TAG, TWICE, AT_ONCE, OTHER)
STAY, STRIKE = "of this bike", "of another bike"


@dataclass(frozen=True, slots=True)
class CallOffRequest:
    """Why a job ends, in words where the reason is another; whether what was read is of this bike or of another."""

    job: int
    reason: str
    words: str = ""
    readings: str = STAY


@dataclass(frozen=True, slots=True)
class UnfinishedRequest:
    """The owner takes the bike back before all is done: how they said so."""

    job: int
    how: str = "at the counter"


def call_off(request: CallOffRequest, *, by: int, key: str, now: datetime) -> JobState:
    """End a job without a handover: no bill, no call-back, no promise; the stand is free.

    Readings of another bike are struck here: they are taken anew on the right one.

    Raises:
        InputRefused: No such reason, or none in words.
        NotPossibleNow: A line is done, the bike is unsafe or open, money is held, or the job is over.
        NotAllowed: Readings are a mechanic's, so is striking them.
    """
    with act("called off", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        still_open(job)
        _may_be_called_off(request, job, by, now)
        this.write(job=job)
        if request.readings == STRIKE:
            _strike(this, job)
        return job_state(job)


def _may_be_called_off(request: CallOffRequest, job: Job, by: int, now: datetime) -> None:
    if request.reason not in REASONS:
        sentence = worded(
            'The reason is "{reason}": {reasons}. Choose one.',
            reason=request.reason[:40],
            reasons=", ".join(REASONS),
        )
        raise InputRefused(sentence, {"reason": sentence})
    if request.readings not in (STAY, STRIKE):
        sentence = worded("What was read is {stay}, or {strike}. Choose one.", stay=STAY, strike=STRIKE)
        raise InputRefused(sentence, {"readings": sentence})
    short(request.words, "words", worded("The reason"), 200, needed=request.reason == OTHER)
    done = len(standing_of(job).done)
    if done:
        raise NotPossibleNow(
            worded(
                "{done} line{s_are} done. Undo {them}, or hand the bike over unfinished.",
                done=done,
                s_are=worded("s are") if done > 1 else worded(" is"),
                them=worded("them") if done > 1 else worded("it"),
            )
        )
    if request.readings == STRIKE:
        allowed(by, "reading taken")
    stops = stops_going_home(job, now) if request.reason in (AT_ONCE, OTHER) or job_state(job).started else []
    if stops:
        raise NotPossibleNow(
            worded(
                "{tag} does not leave so: {stops} Hand it over as unsafe to ride, so that its owner is told.",
                tag=job.bike.tag,
                stops=stops[0],
            )
        )
    held = money_sum(one.came for one in came_before(job))
    if held:
        raise NotPossibleNow(
            worded("{held} is held of this job: note that it went back first.", held=money_of_shop(held))
        )


def _strike(this: Act, job: Job) -> None:
    """Readings of this stay and what was found by them count no longer."""
    rows = Reading.objects.filter(job=job, event__corrected_by__isnull=True).select_related("event")
    struck = [row.event for row in rows]
    found = Event.objects.filter(job=job, kind="found", corrected_by__isnull=True)
    for event in (*struck, *found):
        this.also("struck", f"struck-{event.pk}", job=job, corrects=event, said={"kind": event.kind})


def end_unfinished(request: UnfinishedRequest, *, by: int, key: str, now: datetime) -> int:
    """Write down that the owner calls the open lines off; return how many. The bike is handed over as any other.

    Raises:
        NotPossibleNow: Nothing is open.
    """
    job = job_by_id(request.job)
    stand = standing_of(job)
    left = [line for line in stand.agreed if line not in stand.done]
    if not left and not Event.objects.filter(key=key).exists():
        raise NotPossibleNow(worded("No agreed line is open: hand the bike over."))
    asked = AnswerRequest(
        job.pk, dict.fromkeys(left, False), request.how, worded("called off, takes it back unfinished")
    )
    answer(asked, by=by, key=key, now=now)
    return len(left)
