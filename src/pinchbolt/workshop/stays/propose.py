"""Lines for the estimate: put on for a finding or on the owner's wish, changed and taken off until the owner has answered."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pinchbolt.engines.build import Build, end_of, joints_opened
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Finding, Job, Line
from pinchbolt.reference.rows.work import Operation, part_wanted
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import finding_by_id, job_by_id, line_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.opened_joints import place_of, place_of_line
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays._bound import refuse_beyond_bound
from pinchbolt.workshop.stays.line_parts import (
    LinePart,
    below_the_shelf,
    checked_part,
    kept_parts,
    price_of_parts,
    usual_parts,
)
from pinchbolt.workshop.stays.next_visit import visit_of
from pinchbolt.workshop.stays.standing import open_lines
from pinchbolt.workshop.wear.waiting import Waiting, waiting_for


@dataclass(frozen=True, slots=True)
class ProposeRequest:
    """A line: an operation of the menu, for a finding or on the owner's wish; `parts` None = the usual ones at shelf price.

    `place` is the end at which work on one end is done (front or rear), needed where no finding says it; `count` is how
    many times it is done there.
    """

    job: int
    operation: str
    finding: int | None = None
    words: str = ""
    parts: tuple[LinePart, ...] | None = None
    place: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class WithdrawRequest:
    """A line to take off the estimate again."""

    job: int
    line: int


@dataclass(frozen=True, slots=True)
class ChangeRequest:
    """A line whose parts are others than proposed at first."""

    job: int
    line: int
    parts: tuple[LinePart, ...]


@dataclass(frozen=True, slots=True)
class Proposed:
    """The line that was written."""

    line: int


def propose(
    request: ProposeRequest, *, by: int, key: str, now: datetime, told_before: bool = False
) -> Proposed:
    """Write one line for the estimate. `told_before`: at what an earlier stay was told, so nobody gives anything away by it now.

    Raises:
        InputRefused: The operation is not on the menu, or a part's price or count is out of sense.
        NotPossibleNow: The job is closed, the same line is there already, or its parts cost less than this person may sell them for.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        job = job_by_id(request.job)
        still_open(job)
        operation = tables().operations.get(request.operation)
        if operation is None:
            sentence = (
                worded(
                    'The operation "{operation}" is not on the menu. Choose one from the menu.',
                    operation=request.operation[:40],
                )
                if request.operation
                else worded("Choose the work first.")
            )
            raise InputRefused(sentence, {"operation": sentence})
        if not operation.offered:
            sentence = worded(
                '"{name}" is not offered here: tell the owner who does it, or change it under '
                "settings, prices.",
                name=operation.name,
            )
            raise InputRefused(sentence, {"operation": sentence})
        finding = _finding(request, job)
        place = _place(request, operation, finding, job)
        _refuse_twice(operation, finding, place, job)
        parts = (
            _times(usual_parts(operation, job.bike, finding, place), request)
            if request.parts is None
            else request.parts
        )
        kept = [checked_part(part) for part in parts]
        if request.parts is not None and not told_before:
            refuse_beyond_bound(this.person, job, below_the_shelf(parts), comes=price_of_parts(parts))
        waiting = (
            waiting_for(finding, operation.id, parts, job.bike, local_day(now), visit_of(job.bike))
            if finding
            else Waiting(None, ())
        )
        opened = joints_opened(build_of(job.bike), operation, place or place_of(finding))
        joints = [one.name for one in opened if one.stands]
        line = Line.objects.create(
            event=this.write(job=job),
            job=job,
            finding=finding,
            operation=operation.id,
            words=short(request.words, "words", worded("The line"), 200) or operation.name,
            verdict=finding.verdict if finding else Verdict.WATCH,
            safety=bool(finding and finding.safety),
            parts=kept,
            joints=joints,
            cost_of_waiting=waiting.cost,
            waiting_reasons=list(waiting.reasons),
            place=place or None,
            count=request.count,
        )
        return Proposed(line.pk)


def _place(request: ProposeRequest, operation: Operation, finding: Finding | None, job: Job) -> str:
    """The end at which a line is done; asked before anything is written, so that no part of the other end is replaced."""
    if not operation.at_place:
        return ""
    build = build_of(job.bike)
    on = build.part(finding.part_id) if finding is not None and finding.part_id is not None else None
    found = on.side if on is not None else end_of(place_of(finding))
    ends = ends_of(operation, build)
    place = request.place or found or (ends[0] if len(ends) == 1 else "")
    if not place or place not in (*ends, found):
        sentence = worded(
            '"{name}" is done at one end: {ends}. Say which one.', name=operation.name, ends=" or ".join(ends)
        )
        raise InputRefused(sentence, {"place": sentence})
    if found and place != found:
        sentence = worded(
            'What was found is at the {found}: "{name}" is put on there. Choose {found}.',
            found=found,
            name=operation.name,
        )
        raise InputRefused(sentence, {"place": sentence})
    return place


def ends_of(operation: Operation, build: Build) -> tuple[str, ...]:
    """Return the ends at which work on one end can be done on this bike, by the parts that it brings or is done on."""
    kinds = {part_wanted(text).kind for text in operation.parts} | set(operation.touches)
    sides = {part.side for part in build.parts if part.kind.id in kinds and part.end}
    return tuple(end for end in ("front", "rear") if end in sides) or ("front", "rear")


def _refuse_twice(operation: Operation, finding: Finding | None, place: str, job: Job) -> None:
    """The same work at the same place is one line: two ends are two, and more of it is a count."""
    for line in (one for one in open_lines(job) if one.operation == operation.id):
        if (
            place_of_line(line) == (place or place_of(finding))
            if place
            else line.finding_id == (finding.pk if finding else None)
        ):
            where = f", {place}," if place else ""
            raise NotPossibleNow(
                worded(
                    '"{name}"{where} is on the estimate already. Change the line that is there.',
                    name=operation.name,
                    where=where,
                )
            )


def _times(parts: Sequence[LinePart], request: ProposeRequest) -> tuple[LinePart, ...]:
    """The usual parts, as many times as the work is done."""
    return tuple(replace(part, count=part.count * request.count) for part in parts)


def withdraw(request: WithdrawRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a line off the estimate by a correcting event; a line that was answered stays.

    Raises:
        NotPossibleNow: The line was answered, or is of another job.
    """
    with act("withdrawn", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        line = line_by_id(request.line)
        still_open(line.job)
        if line.job_id != request.job:
            raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
        if line.answers.exists():
            raise NotPossibleNow(worded('The owner has answered "{words}", so it stays.', words=line.words))
        this.write(job=line.job, corrects=line.event)


def change_line(request: ChangeRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Propose a line anew with other parts, in the place of one that the owner has not answered.

    Raises:
        InputRefused: A part's price or count is out of sense.
        NotPossibleNow: The line was answered, changed or withdrawn before, or is of another job; or its parts cost less than
            this person may sell them for.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        old = line_by_id(request.line)
        still_open(old.job)
        if old.job_id != request.job:
            raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
        if old.answers.exists():
            raise NotPossibleNow(
                worded(
                    'The owner has answered "{words}", so its price stays. Add another line for the rest.',
                    words=old.words,
                )
            )
        parts = [checked_part(part) for part in request.parts]
        before = below_the_shelf(kept_parts(old))
        refuse_beyond_bound(this.person, old.job, below_the_shelf(request.parts) - before)
        bike, today = old.job.bike, local_day(now)
        waiting = (
            waiting_for(old.finding, old.operation, request.parts, bike, today, visit_of(bike))
            if old.finding
            else Waiting(None, ())
        )
        return line_again(
            this,
            old,
            parts=parts,
            cost_of_waiting=waiting.cost,
            waiting_reasons=list(waiting.reasons),
        )


def line_again(this: Act, old: Line, **changed: object) -> Proposed:
    """Write a line anew in the place of an old one: all that is not changed stays, who pays for it too."""
    kept = {
        field.name: getattr(old, field.name) for field in Line._meta.concrete_fields if field.name != "event"
    }
    line = Line.objects.create(event=this.write(job=old.job, corrects=old.event), **{**kept, **changed})
    borne = Event.objects.filter(
        job=old.job, kind="line paid by", said__line=old.pk, corrected_by__isnull=True
    ).last()
    if borne is not None:
        this.also("line paid by", f"borne-{line.pk}", job=old.job, said={**borne.said, "line": line.pk})
    return Proposed(line.pk)


def _finding(request: ProposeRequest, job: Job) -> Finding | None:
    if request.finding is None:
        return None
    finding = finding_by_id(request.finding)
    if finding.job.bike_id != job.bike_id:
        raise NotPossibleNow(worded("This finding belongs to another bike. Reload the page."))
    return finding
