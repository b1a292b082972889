"""A look that was not possible or not taken: never a "no", so that nothing that nobody saw counts as sound."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Event, Finding, Job, NotSeen, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id, part_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.take_reading import limit_on_bike

COULD_NOT = "could not see"
NOT_LOOKED = "not looked at"
WHYS = (COULD_NOT, NOT_LOOKED)


@dataclass(frozen=True, slots=True)
class NotSeenRequest:
    """A look of the walk-round that could not be had, or was not taken; `words` say why.

    `corrects` names the reading (its event) that was written down though nobody saw it: its verdict ends with it.
    """

    job: int
    part: int
    limit: str
    why: str = COULD_NOT
    words: str = ""
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class SeenAfterAllRequest:
    """A wrong tap: nothing is said of this look any more, and it stands as not read."""

    job: int
    not_seen: int


@dataclass(frozen=True, slots=True)
class LeaveUnseenRequest:
    """Looks without which the bike leaves, and why; the owner is told of each that is of safety."""

    job: int
    not_seen: tuple[int, ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class NotSeenView:
    """A look that is not seen yet. `leaves`: somebody decided that the bike leaves without it."""

    id: int
    part: int
    part_words: str
    limit: str
    quantity: str
    why: str
    words: str
    safety: bool
    leaves: bool
    by: str
    at: datetime

    @property
    def sentence(self) -> str:
        """What was not seen, and why, as it is told to the owner."""
        why = worded("could not be seen") if self.why == COULD_NOT else worded("was not looked at")
        return f"{self.part_words}, {self.quantity}: {why}{f' ({self.words})' if self.words else ''}."


def say_not_seen(request: NotSeenRequest, *, by: int, key: str, now: datetime) -> NotSeenView:
    """Write down that a look could not be had; a reading that nobody saw is corrected by it.

    Raises:
        InputRefused: No such look on this part, or another answer than the two.
        NotPossibleNow: The job is closed, the part is not on this bike, or it was read in this stay already.
    """
    with act("not seen", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _view(NotSeen.objects.select_related("event__by", "part").get(event=this.done_before))
        job = job_by_id(request.job)
        still_open(job)
        return write_not_seen(request, this, job)


def write_not_seen(request: NotSeenRequest, this: Act, job: Job, name: str = "") -> NotSeenView:
    """Write it inside an act: as the act itself, or where it has a *name* as one of several that the act brings with it."""
    part = part_by_id(request.part)
    limit = limit_on_bike(build_of(job.bike), part, request.limit, job)
    if request.why not in WHYS:
        sentence = worded(
            'The answer is "{why}": {whys}. Choose one.', why=request.why[:40], whys=" or ".join(WHYS)
        )
        raise InputRefused(sentence, {"why": sentence})
    corrects = _instead_of(request, job, part, this)
    event = (
        this.also("not seen", name, job=job, corrects=corrects)
        if name
        else this.write(job=job, corrects=corrects)
    )
    row = NotSeen.objects.create(
        event=event,
        job=job,
        part=part,
        limit=limit.id,
        why=request.why,
        words=short(request.words, "words", worded("Why it was not seen"), 200),
    )
    return _view(row)


def _instead_of(request: NotSeenRequest, job: Job, part: Part, this: Act) -> Event | None:
    """What this answer takes the place of: the reading that is corrected, or what was said of the same look before."""
    here = Reading.objects.filter(
        job=job, part=part, limit=request.limit, event__corrected_by__isnull=True
    ).order_by("-pk")
    if request.corrects is not None:
        reading = here.filter(pk=request.corrects).first()
        if reading is None:
            raise InputRefused(
                worded(
                    "Reading {corrects} is none of this look in this stay, or was corrected already. "
                    "Reload the page.",
                    corrects=request.corrects,
                )
            )
        finding = Finding.objects.filter(reading=reading, event__corrected_by__isnull=True).first()
        if finding is not None:
            this.also("finding ended", "finding", job=job, corrects=finding.event)
        return reading.event
    before = NotSeen.objects.filter(
        job=job, part=part, limit=request.limit, event__corrected_by__isnull=True
    ).last()
    read = here.first()
    if read is not None and (before is None or read.pk > before.pk):
        raise NotPossibleNow(
            worded(
                "{part}, {quantity} was read at this stay already. If nobody saw it, put that "
                "reading right and say so there.",
                part=part,
                quantity=tables().limits[request.limit].quantity,
            )
        )
    return before.event if before is not None else None


def see_after_all(
    request: SeenAfterAllRequest, *, by: int, key: str, now: datetime
) -> tuple[NotSeenView, ...]:
    """Take back a wrong tap, and return what is still not seen.

    Raises:
        NotFound: Nothing of this job that stands.
        NotPossibleNow: The job is closed.
    """
    with act("not seen taken back", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            still_open(job)
            this.write(job=job, corrects=_standing(job, request.not_seen).event)
        return not_seen_of(job)


def leave_unseen(request: LeaveUnseenRequest, *, by: int, key: str, now: datetime) -> tuple[NotSeenView, ...]:
    """Decide that the bike leaves without these looks, and return all that are not seen.

    Raises:
        InputRefused: None named, or a look of safety without a word why.
        NotFound: One that does not stand in this job.
        NotPossibleNow: The job is closed.
    """
    with act("leaves unseen", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return not_seen_of(job)
        still_open(job)
        words = short(request.words, "words", worded("Why it leaves unseen"), 200)
        rows = {str(number): _standing(job, number) for number in request.not_seen}
        if not rows:
            raise InputRefused(worded("No look was marked: mark what the bike leaves without."))
        for row in rows.values():
            if tables().limits[row.limit].safety and not (words or row.words):
                sentence = worded(
                    "{part}, {quantity}: why it leaves unseen is empty, and it is a look of safety. "
                    "Write what stood in the way; it is read out to the owner.",
                    part=row.part,
                    quantity=tables().limits[row.limit].quantity,
                )
                raise InputRefused(sentence, {"words": sentence})
        this.write(job=job)
        events = this.also_each(
            "left unseen",
            job,
            {name: {"not_seen": row.pk} for name, row in rows.items()},
            {name: row.event for name, row in rows.items()},
        )
        for name, row in rows.items():
            NotSeen.objects.create(
                event=events[name],
                job=job,
                part=row.part,
                limit=row.limit,
                why=row.why,
                words=words or row.words,
                leaves=True,
            )
        return not_seen_of(job)


def _standing(job: Job, number: int) -> NotSeen:
    found = next((row for row in _rows(job) if row.pk == number), None)
    if found is None:
        raise NotFound(
            worded(
                "Nothing of this stay is not seen under {number}: it was looked at since. Reload the page.",
                number=number,
            )
        )
    return found


@once_a_look
def not_seen_of(job: Job) -> tuple[NotSeenView, ...]:
    """Return the looks of a job that were said not to be seen and were not read since, those of safety first."""
    found = (_view(row) for row in _rows(job))
    return tuple(sorted(found, key=lambda seen: (not seen.safety, seen.id)))


@prepared
def _not_seen(job: int) -> QuerySet[NotSeen]:
    rows = NotSeen.objects.filter(job=job, event__corrected_by__isnull=True)
    return rows.select_related("event__by", "part").order_by("pk")


def _rows(job: Job) -> list[NotSeen]:
    rows = _not_seen(job.pk)
    if not rows:
        return []
    here = {part.pk for part in parts_on(job.bike)}
    readings = Reading.objects.filter(job=job, event__corrected_by__isnull=True)
    read = {
        (part, limit): pk for part, limit, pk in readings.order_by("pk").values_list("part", "limit", "pk")
    }
    return [
        row
        for row in rows
        if row.limit in tables().limits
        and row.part_id in here
        and read.get((row.part_id, row.limit), 0) < row.pk
    ]


def _view(row: NotSeen) -> NotSeenView:
    limit = tables().limits[row.limit]
    return NotSeenView(
        id=row.pk,
        part=row.part_id,
        part_words=str(row.part),
        limit=row.limit,
        quantity=limit.quantity,
        why=row.why,
        words=row.words,
        safety=limit.safety,
        leaves=row.leaves,
        by=row.event.by.name,
        at=row.event.at,
    )
