"""A job goes on in other hands: who goes on, and a note on what stands half open, until it was read."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, Person, Role
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import events_of, still_open
from pinchbolt.workshop.common.checks import short

NOTE_TAPS = ("half open", "bleed started", "do not spin", "bolts in the tray")


@dataclass(frozen=True, slots=True)
class HandOnRequest:
    """Who goes on with the job (their id), and what they must know."""

    job: int
    to: int
    note: str


@dataclass(frozen=True, slots=True)
class NoteReadRequest:
    """The note of a job was read by whoever goes on."""

    job: int


@dataclass(frozen=True, slots=True)
class HandOnView:
    """From whom, to whom, when, and the note."""

    sender: str
    to: str
    at: datetime
    note: str


def hand_on(request: HandOnRequest, *, by: int, key: str, now: datetime) -> None:
    """Hand a job on to another mechanic.

    Raises:
        InputRefused: No such person, or the same one; no note.
        NotPossibleNow: The job is closed.
    """
    with act("handed on", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        person = next((one for one in hands_for(by) if one[0] == request.to), None)
        if person is None:
            sentence = worded("Who goes on with it? Choose another mechanic who works here.")
            raise InputRefused(sentence, {"to": sentence})
        note = short(request.note, "note", worded("What the next one must know"), 400, needed=True)
        this.said = {"job": job.pk, "to": person[0], "to_name": person[1], "note": note}
        this.write(job=job)


def read_note(request: NoteReadRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that the note was read.

    Raises:
        NotPossibleNow: There is none.
    """
    with act("note read", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        if note_of(job) is None:
            raise NotPossibleNow(worded("There is no note to read: somebody has read it already."))
        this.write(job=job)


def hands_for(by: int) -> tuple[tuple[int, str], ...]:
    """Return whom a job may be handed on to: id and name of those who work on bikes, without oneself."""
    rows = Person.objects.filter(is_active=True).exclude(role=Role.COUNTER).exclude(pk=by)
    return tuple(rows.order_by("name").values_list("pk", "name"))


def note_of(job: Job) -> HandOnView | None:
    """Return the note that nobody has read yet, or None."""
    return note_in(events_of(job))


def note_in(events: Iterable[Event]) -> HandOnView | None:
    """Return the unread note among the events of a job that stand, in order."""
    newest = None
    for event in events:
        if event.kind == "handed on":
            newest = event
        elif event.kind == "note read":
            newest = None
    if newest is None:
        return None
    said = newest.said
    return HandOnView(newest.by.name, str(said.get("to_name", "")), newest.at, str(said.get("note", "")))


def hands_of(job: Job) -> tuple[HandOnView, ...]:
    """Return in whose hands the job was, as it was handed on."""
    return tuple(seen for row in events_of(job) if (seen := note_in([row])) is not None)
