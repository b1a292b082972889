"""Onto a stand, off it again, and each line done."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id, terms
from pinchbolt.workshop.acts.state import JobState, Where, holder_of, job_state, still_open
from pinchbolt.workshop.bikes.battery import refuse_swollen
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.building import replace_part
from pinchbolt.workshop.bikes.fitting_changes import watching_fittings
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.parts.wanted import fit_wanted
from pinchbolt.workshop.stays._renewed import may_be_new, parts_ended, said_new
from pinchbolt.workshop.stays.ring_first import rings_first
from pinchbolt.workshop.stays.standing import agreed_lines, lines_done


@dataclass(frozen=True, slots=True)
class StandRequest:
    """The stand that a bike goes on. `reached`: the owner, who is to be rung before the work starts, was reached."""

    job: int
    stand: int
    reached: bool = False


@dataclass(frozen=True, slots=True)
class AsideRequest:
    """A bike that waits for a part or for its owner: what for, and the half-open state (which screws in which tray)."""

    job: int
    waits_for: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class ArrivedRequest:
    """The job whose part arrived."""

    job: int


@dataclass(frozen=True, slots=True)
class LineDoneRequest:
    """An agreed line that was done; `renewed` are the parts that are new, of those that its work may renew or leave.

    None: nobody said it; a finding's row must tell it then.
    """

    job: int
    line: int
    renewed: tuple[int, ...] | None = None


def start_work(request: StandRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Start the agreed work on a stand; lines that the owner has not answered wait, the others do not wait for them.

    Raises:
        InputRefused: No such stand.
        NotPossibleNow: No line is agreed, the stand is taken, or the job is closed.
    """
    with act("work started", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        still_open(job)
        if not agreed_lines(job):
            raise NotPossibleNow(worded("Nothing is agreed, so there is no work to start."))
        if rings_first(job) and not request.reached:
            sentence = worded(
                "The owner is rung before the work starts: ring now, and say that they were reached."
            )
            raise InputRefused(sentence, {"reached": sentence})
        _free_stand(this, request.stand, job)
        this.write(job=job)
        return job_state(job)


def put_on_stand(request: StandRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Put a bike on a stand, for the walk-round or to go on with its work.

    Raises:
        InputRefused: No such stand.
        NotPossibleNow: The stand is taken, or the job is closed.
    """
    with act("put on stand", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        still_open(job)
        _free_stand(this, request.stand, job)
        this.write(job=job)
        return job_state(job)


def set_aside(request: AsideRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Take a bike off its stand to wait; its half-open state is kept in words.

    Raises:
        InputRefused: It waits for something else than a part or the owner.
        NotPossibleNow: The job is closed.
    """
    with act("set aside", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        still_open(job)
        if request.waits_for not in ("part", "owner"):
            sentence = worded(
                'The bike waits for "{waits_for}": part or owner. Choose one.',
                waits_for=request.waits_for[:40],
            )
            raise InputRefused(sentence, {"waits_for": sentence})
        short(request.words, "words", worded("How the bike was left"), 400)
        this.write(job=job)
        return job_state(job)


def part_arrived(request: ArrivedRequest, *, by: int, key: str, now: datetime) -> JobState:
    """The part is here: the bike waits no longer.

    Raises:
        NotPossibleNow: The bike does not wait for a part.
    """
    with act("part arrived", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        if still_open(job).where is not Where.PART:
            raise NotPossibleNow(worded("{tag} does not wait for a part.", tag=job.bike.tag))
        this.write(job=job)
        return job_state(job)


def finish_line(request: LineDoneRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that an agreed line was done; a replaced part ends its life on the bike and a new one starts.

    Raises:
        InputRefused: What was new is not said, or was no part of this work.
        NotPossibleNow: The work has not started, or the line is not agreed, not of this job, or done already.
    """
    with act("line done", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        line = line_by_id(request.line)
        job = job_by_id(request.job)
        if line.job_id != job.pk:
            raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
        if not still_open(job).started:
            raise NotPossibleNow(
                worded("The work has not started: put the bike on a stand and start it first.")
            )
        refuse_swollen(job.bike)
        if line.pk not in agreed_lines(job):
            raise NotPossibleNow(
                worded('The owner has not agreed to "{words}". Ask first.', words=line.words)
            )
        if line.pk in lines_done(job):
            raise NotPossibleNow(worded('"{words}" is done already.', words=line.words))
        sheet = sheet_of_bike(job.bike)
        ended = parts_ended(line, sheet.build, request.renewed)
        new = said_new(may_be_new(line, sheet.build), ended)
        with watching_fittings(job.bike) as changed:
            for part in ended:
                replace_part(sheet.parts[part.id], job.bike, local_day(now))
        this.said = {"job": job.pk, "line": line.pk, **new, **changed.as_said()}
        this.write(job=job)
        fit_wanted(this, line)


def _free_stand(this: Act, stand: int, job: Job) -> None:
    """Refuse a stand that holds another bike; one that only waits there for its owner's answer goes to the rack."""
    refuse_swollen(job.bike)
    stands = terms().stands
    if not 1 <= stand <= stands:
        sentence = worded("There is no stand {stand}: 1 to {stands}. Choose one.", stand=stand, stands=stands)
        raise InputRefused(sentence, {"stand": sentence})
    other = holder_of(stand, job)
    if other is None:
        return
    if job_state(other).where is Where.STAND:
        raise NotPossibleNow(
            worded(
                "{tag} is on stand {stand}. Move it, or choose another stand.",
                tag=other.bike.tag,
                stand=stand,
            )
        )
    words = worded("{tag} came onto stand {stand}", tag=job.bike.tag, stand=stand)
    this.also("moved", "off-stand", job=other, said={"job": other.pk, "to": "rack", "words": words})
