"""Where a job stands: read from its events that still count, never stored."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from django.db.models import QuerySet

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import UNDONE, Event, Job
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look


class Where(StrEnum):
    """The places of a bike; the word itself is what is shown."""

    RACK = "on the rack"
    STAND = "on stand"
    OWNER = "waiting for the owner"
    PART = "waiting for a part"
    OUTSIDE = "outside"
    HOME = "home meanwhile"
    READY = "ready"
    AWAY = "put away"
    GONE = "gone"
    CALLED_OFF = "called off"
    NOT_COLLECTED = "not collected"


# A job that is there ends no other way.
ENDS = {"handed over": Where.GONE, "called off": Where.CALLED_OFF, "not collected": Where.NOT_COLLECTED}
# Where a bike may be moved by hand, besides a stand.
MOVED_TO = {"rack": None, "outside": Where.OUTSIDE, "home": Where.HOME, "away": Where.AWAY}


@dataclass(frozen=True, slots=True)
class JobState:
    """Place, stand where there is one, and what has happened so far."""

    where: Where
    stand: int | None = None
    priced: bool = False
    started: bool = False
    signed_off: bool = False
    left_unsafe: bool = False

    @property
    def words(self) -> str:
        """As it is shown."""
        return worded("on stand {stand}", stand=self.stand) if self.where is Where.STAND else self.where.value

    @property
    def ended(self) -> bool:
        """Whether the job is over: the bike left, or the job was called off."""
        return self.where in ENDS.values()


# The only events that move a bike; all others are left out of the question.
MOVES = (
    "put on stand", "work started", "priced", "answered", "set aside", "part arrived", "moved", "battery swollen", "battery gone",
    "signed off", "reopened", *ENDS,
)  # fmt: skip


@dataclass(slots=True)
class _Fold:
    """What the events amount to so far."""

    stand: int | None = None
    waits: Where | None = None
    place: Where | None = None
    state: JobState = JobState(Where.RACK)

    def shown(self) -> JobState:
        """The state in one word: who has the bike, then whether it is ready, then what it waits for."""
        where = self.place or (Where.READY if self.state.signed_off else None) or self.waits
        return replace(
            self.state, where=where or (Where.STAND if self.stand else Where.RACK), stand=self.stand
        )


def state_of(events: Iterable[Event]) -> JobState:
    """Return the state that a job's events amount to, in order; those that were corrected or undone are not among them."""
    fold = _Fold()
    for event in events:
        said = event.said if isinstance(event.said, dict) else {}
        if event.kind in ENDS:
            return replace(
                fold.state, where=ENDS[event.kind], stand=None, left_unsafe=bool(said.get("as_unsafe"))
            )
        _take(fold, event.kind, said)
    return fold.shown()


def _take(fold: _Fold, kind: str, said: dict[str, object]) -> None:
    match kind:
        case "put on stand" | "work started":
            stand = said.get("stand")
            fold.stand, fold.waits, fold.place = stand if isinstance(stand, int) else None, None, None
            fold.state = replace(fold.state, started=fold.state.started or kind == "work started")
        case "priced":
            fold.waits, fold.state = Where.OWNER, replace(fold.state, priced=True)
        case "answered":
            fold.waits = None if said.get("all_answered") else fold.waits
        case "set aside":
            fold.waits = Where.OWNER if said.get("waits_for") == "owner" else Where.PART
            fold.stand = None
        case "part arrived":
            fold.waits = None
        case "moved":
            fold.stand, fold.place = None, MOVED_TO.get(str(said.get("to")))
        case "battery swollen":
            # Whoever signed did not know of it: the bike is looked at and signed anew.
            fold.stand, fold.place, fold.state = None, Where.OUTSIDE, replace(fold.state, signed_off=False)
        case "battery gone":
            fold.place = None if fold.place is Where.OUTSIDE else fold.place
        case "signed off":
            fold.stand, fold.waits, fold.state = None, None, replace(fold.state, signed_off=True)
        case "reopened":
            fold.state = replace(fold.state, signed_off=False)


def that_stand(events: Iterable[Event]) -> list[Event]:
    """Return the events of a job, in order, that no later one corrects or undoes; all events of the job must be among them."""
    told = sorted(events, key=lambda event: event.pk)
    undone = {event.corrects_id for event in told if event.kind == UNDONE}
    corrected = {event.corrects_id for event in told if event.pk not in undone}
    return [event for event in told if event.pk not in corrected and event.kind != UNDONE]


@once_a_look
def job_state(job: Job) -> JobState:
    """Return the state of one job; of a long stay's hundreds of events only those that move a bike are read."""
    return state_of(_moves_of(job.pk))


@prepared
def _moves_of(job: int) -> QuerySet[Event]:
    return Event.objects.filter(job=job, kind__in=MOVES, corrected_by__isnull=True).order_by("pk")


@once_a_look
def events_told(job: Job, kind: str) -> tuple[Event, ...]:
    """Return the events of one kind of a job that stand, in order."""
    return tuple(_of_kind(job.pk, kind))


@prepared
def _of_kind(job: int, kind: str) -> QuerySet[Event]:
    return Event.objects.filter(job=job, kind=kind, corrected_by__isnull=True).order_by("pk")


@once_a_look
def events_of(job: Job) -> tuple[Event, ...]:
    """Return the events of a job that stand, in order."""
    return tuple(that_stand(_events(job.pk)))


@prepared
def _events(job: int) -> QuerySet[Event]:
    return Event.objects.filter(job=job).select_related("by")


def jobs_here() -> QuerySet[Job]:
    """Return the jobs that are not over."""
    return Job.objects.filter(here__isnull=False)


def holder_of(stand: int, besides: Job) -> Job | None:
    """Return the job whose bike was put on a stand and not taken off it since, if it is another one."""
    return Job.objects.filter(here__stand=stand).exclude(pk=besides.pk).select_related("bike").first()


def still_open(job: Job) -> JobState:
    """Return the state, if the bike is still here and not signed off; else say what to do."""
    state = job_state(job)
    if state.where is Where.GONE:
        raise NotPossibleNow(
            worded(
                "{tag} was handed over: nothing more is written into this job. Check the bike in again.",
                tag=job.bike.tag,
            )
        )
    if state.ended:
        raise NotPossibleNow(
            worded(
                "This job of {tag} was ended, {words}: nothing more is written into it. Check the "
                "bike in again.",
                tag=job.bike.tag,
                words=state.words,
            )
        )
    if state.signed_off:
        raise NotPossibleNow(
            worded("{tag} is signed off: open the job again first, then sign off again.", tag=job.bike.tag)
        )
    return state
