"""Nobody collects the bike: the workshop's own steps one after another, and an end by the owner of the workshop alone.

The law of the country rules here; these steps are the workshop's.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.state import JobState, Where, job_state
from pinchbolt.workshop.common.checks import local_day, short

KEPT_FOR = ("kept for parts", "given away", "sold", "scrapped")
WAYS = ("text", "letter", "e-mail", "phone")


@dataclass(frozen=True, slots=True)
class Step:
    """A step, from so many days after the bike was ready. [d]"""

    name: str
    after_days: int
    words: str


STEPS = (
    # Common practice, no source; the law of the country says what must be said, how and how long before.
    Step(worded("first text"), 7, worded("{shop}: {tag} is ready since {ready}. Please collect it.")),
    Step(
        "letter",
        21,
        worded(
            "{shop}: {tag} is ready since {ready}, for {days} days. Please collect it, or tell "
            "us when you will."
        ),
    ),
    Step(
        "storage",
        42,
        worded(
            "{shop}: {tag} is ready since {ready}, for {days} days. From now on it stands in "
            "storage; please collect it."
        ),
    ),
    Step(
        worded("last letter"),
        90,
        worded(
            "{shop}: {tag} is ready since {ready}, for {days} days. This is our last letter "
            "about it. Please collect it now."
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class RemindRequest:
    """A step that was taken: which, and how it went out."""

    job: int
    step: str
    how: str


@dataclass(frozen=True, slots=True)
class NotCollectedRequest:
    """What became of a bike that nobody collected, and why it may."""

    job: int
    end: str
    words: str


@dataclass(frozen=True, slots=True)
class StepView:
    """A step: whether it was taken (by whom, when), from which day it is due, and its text to copy."""

    name: str
    due: date
    is_due: bool
    taken: str
    text: str


def steps_of(job: Job, now: datetime) -> tuple[StepView, ...]:
    """Return the steps of a job whose bike is ready; none before it is."""
    signed = Event.objects.filter(job=job, kind="signed off", corrected_by__isnull=True).last()
    if signed is None or not job_state(job).signed_off:
        return ()
    ready, today = local_day(signed.at), local_day(now)
    rows = Event.objects.filter(job=job, kind="reminded", corrected_by__isnull=True, pk__gt=signed.pk)
    taken = {
        row.said["step"]: f"{row.said['how']}, {local_day(row.at):%d %b %Y}, {row.by.name}"
        for row in rows.select_related("by")
    }
    said = {
        "shop": terms().name,
        "tag": job.bike.tag,
        "ready": f"{ready.day} {ready:%B}",
        "days": (today - ready).days,
    }
    return tuple(
        StepView(
            one.name,
            due := ready + timedelta(days=one.after_days),
            due <= today,
            taken.get(one.name, ""),
            one.words.format(**said),
        )
        for one in STEPS
    )


def next_due(job: Job, now: datetime) -> StepView | None:
    """Return the first step that was not taken yet, or None."""
    return next((one for one in steps_of(job, now) if not one.taken), None)


def remind(request: RemindRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that a step was taken.

    Raises:
        InputRefused: No such step or way.
        NotPossibleNow: The bike is not ready, the step was taken, or its day has not come.
    """
    with act("reminded", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        _ready(job)
        if request.how not in WAYS:
            sentence = worded(
                'It went out by "{how}": {ways}. Choose one.', how=request.how[:20], ways=", ".join(WAYS)
            )
            raise InputRefused(sentence, {"how": sentence})
        step = next_due(job, now)
        if step is None or step.name != request.step:
            sentence = worded(
                "The next step is {name}: it is taken in order.",
                name=worded("the {name}", name=step.name) if step else worded("the end"),
            )
            raise InputRefused(sentence, {"step": sentence})
        if not step.is_due:
            raise NotPossibleNow(
                worded("The {name} is due on {due:%d %b %Y}: wait until then.", name=step.name, due=step.due)
            )
        this.write(job=job)


def end_not_collected(request: NotCollectedRequest, *, by: int, key: str, now: datetime) -> JobState:
    """End the job of a bike that nobody collected, after the last step; for the owner of the workshop alone.

    Raises:
        InputRefused: No such end, or no reason.
        NotPossibleNow: A step is missing, or the bike is not ready.
    """
    with act("not collected", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        _ready(job)
        left = next_due(job, now)
        if left is not None:
            raise NotPossibleNow(
                worded("The {name} was not sent yet: every step comes first.", name=left.name)
            )
        if request.end not in KEPT_FOR:
            sentence = worded(
                'It was "{end}": {kept_for}. Choose one.', end=request.end[:20], kept_for=", ".join(KEPT_FOR)
            )
            raise InputRefused(sentence, {"end": sentence})
        short(request.words, "words", worded("Why it may"), 200, needed=True)
        this.write(job=job)
        return job_state(job)


def _ready(job: Job) -> None:
    state = job_state(job)
    if state.where not in (Where.READY, Where.AWAY):
        raise NotPossibleNow(
            worded(
                "{tag} is {words}: only what is ready waits to be collected.",
                tag=job.bike.tag,
                words=state.words,
            )
        )
