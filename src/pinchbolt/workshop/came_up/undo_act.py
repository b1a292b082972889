"""Taking back the last act, while nothing depends on it: a new event that names it, and what it did to parts put back."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import UNDONE, Bill, Event, Finding, Job, Line
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act, allowed
from pinchbolt.workshop.acts.kinds_of_act import Beside, act_kind, in_words
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import ENDS, Where, events_of, holder_of, job_state, jobs_here
from pinchbolt.workshop.bikes.bin_moves import take_back_moves
from pinchbolt.workshop.bikes.fitting_changes import take_back_fittings
from pinchbolt.workshop.came_up._undo_stops import why_not
from pinchbolt.workshop.came_up.bike_tags import take_back_tag
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.bill import take_back_bill

BILL = "bill made"


@dataclass(frozen=True, slots=True)
class UndoRequest:
    """The act to take back, by its event."""

    job: int
    event: int


@dataclass(frozen=True, slots=True)
class ActView:
    """An act of a job as it is told; `why_not` is "" where it can be taken back."""

    event: int
    words: str
    at: datetime
    by: str
    why_not: str = ""


def undo_act(request: UndoRequest, *, by: int, key: str, now: datetime) -> str:
    """Take an act back, and return it in words. Whoever may do it may take it back; both names stay.

    Raises:
        NotFound: No such act of this job.
        NotPossibleNow: Something depends on it; the sentence says what, and what to do.
        NotAllowed: It is not this person's to do.
    """
    with act(UNDONE, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return str(this.done_before.said["words"])
        job = Job.objects.select_for_update().get(pk=job_by_id(request.job).pk)
        event = _act_of(job, request.event)
        allowed(by, event.kind)
        brought = acts_brought(event)
        sentence = why_not(event, brought, now)
        if sentence:
            raise NotPossibleNow(sentence)
        words = act_words([event])[event.pk]
        if event.kind in ENDS:
            _not_here_again(job)
        this.said = {"kind": event.kind, "words": words}
        this.write(job=job, corrects=event)
        for one in brought:
            _take_back(this, one, event, job)
            take_back_moves(one)
        if event.kind == "tag given":
            take_back_tag(event)
        take_back_fittings(event.said if isinstance(event.said, dict) else {})
        _stand_is_free(job)
        return words


def _take_back(this: Act, one: Event, event: Event, job: Job) -> None:
    """What the act brought along; a numbered bill stays, and gets the one that takes it back."""
    if one.kind == BILL and one.pk != event.pk:
        take_back_bill(
            this, Bill.objects.get(event=one), local_day(this.now), worded("the handover was taken back")
        )
    elif one.pk != event.pk:
        # What it brought to another bike is taken back there.
        there = one.job or job
        this.also(UNDONE, f"of-{one.pk}", job=there, bike=one.bike, corrects=one, said={"kind": one.kind})


def _act_of(job: Job, number: int) -> Event:
    event = Event.objects.select_related("by", "job").filter(pk=number, job=job).first()
    if event is None or event.kind == UNDONE:
        raise NotFound(
            worded(
                "There is no act {number} of this job to take back. Choose one of its list.", number=number
            )
        )
    return event


def acts_brought(event: Event) -> list[Event]:
    """Return an act's event with those that it brought along: they bear its mark and the digest of the same request.

    One act writes all of them at one moment, and by that they are found: by a person's name or a mark's beginning, the database
    would read all that this person ever did.
    """
    at_once = Event.objects.filter(at=event.at, fingerprint=event.fingerprint).order_by("pk")
    return [
        event,
        *(one for one in at_once if one.by_id == event.by_id and one.key.startswith(f"{event.key}/")),
    ]


def _stand_is_free(job: Job) -> None:
    """Whoever took the stand meanwhile keeps it."""
    state = job_state(job)
    if state.where is not Where.STAND:
        return
    other = holder_of(state.stand, job) if state.stand is not None else None
    if other is not None:
        raise NotPossibleNow(
            worded(
                "Stand {stand} holds {tag} by now: move the bike to another stand instead.",
                stand=state.stand,
                tag=other.bike.tag,
            )
        )


def _not_here_again(job: Job) -> None:
    if jobs_here().filter(bike=job.bike_id).exists():
        raise NotPossibleNow(worded("{tag} was checked in again since: go on in that job.", tag=job.bike.tag))


def acts_today(job: Job, now: datetime, most: int = 12) -> tuple[ActView, ...]:
    """Return the newest acts of a job that still stand, newest first, with why one can't be taken back.

    Only of the newest is it worked out; the others say it when they are asked.
    """
    events = _standing_acts(job)[:most]
    told = act_words(events)
    today = [event for event in events if local_day(event.at) == local_day(now)]
    return tuple(
        ActView(
            event.pk,
            told[event.pk],
            event.at,
            event.by.name,
            why_not(event, acts_brought(event), now) if at == 0 else "" if act_kind(event.kind).undo else "-",
        )
        for at, event in enumerate(today)
    )


def last_act(job: Job, now: datetime) -> ActView | None:
    """Return the newest act of a job, if it is of today and can be taken back at all: the receipt on its pages."""
    events = _standing_acts(job)[:1]
    if not events or local_day(events[0].at) != local_day(now) or not act_kind(events[0].kind).undo:
        return None
    event = events[0]
    return ActView(event.pk, act_words(events)[event.pk], event.at, event.by.name)


def _standing_acts(job: Job) -> list[Event]:
    """The acts themselves, newest first, without what they brought along."""
    return [event for event in reversed(events_of(job)) if "/" not in event.key]


def act_words(events: Sequence[Event]) -> dict[int, str]:
    """Return what each act was, in few words."""
    lines = {event.said["line"] for event in events if isinstance(event.said, dict) and "line" in event.said}
    beside = Beside(dict(Line.objects.filter(pk__in=lines).values_list("pk", "words")) if lines else {}, {})
    return {event.pk: _words(event, beside) for event in events}


def _words(event: Event, beside: Beside) -> str:
    told = _PLAINLY.get(event.kind)
    return told(event) if told is not None else _SHORTLY.get(event.kind) or in_words(event, beside)


def _stand(event: Event) -> str:
    return worded("put on stand {stand}", stand=event.said.get("stand"))


def _answers(event: Event) -> str:
    said = list(event.said.get("answers", {}).values())
    return worded(
        "the owner's word: {agreed} agreed, {declined} declined",
        agreed=said.count(True),
        declined=said.count(False),
    )


def _proposed(event: Event) -> str:
    line = getattr(event, "line", None)
    return worded("on the estimate: {words}", words=line.words) if line else worded("put on the estimate")


def _reading(event: Event) -> str:
    found = _said_of_reading.first(event.pk)
    return worded("{} Verdict: {}.").format(*found) if found is not None else "reading taken"


@prepared
def _said_of_reading(reading: int) -> QuerySet[Finding, tuple[str, str]]:
    # The words alone: this stands above every page of the job, and what was forecast is most of a row.
    return Finding.objects.filter(reading=reading).values_list("words", "verdict")


_PLAINLY: Mapping[str, Callable[[Event], str]] = {
    "put on stand": _stand,
    "answered": _answers,
    "proposed": _proposed,
    "reading taken": _reading,
}
_SHORTLY = {
    "priced": worded("the owner was asked"),
    "withdrawn": worded("a line taken off the estimate"),
    "list looked at": worded("looks at the safety list"),
    "joint added": worded("a joint put on the torque sheet"),
}
