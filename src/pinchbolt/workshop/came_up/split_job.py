"""One job in two: agreed lines wait for another day, the bike leaves meanwhile, and a later job goes on with them as agreed."""

from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, Line
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.came_up._line_again import bear_again, put_on_again
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.stays.answer import AGREED_BEFORE, AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import line_again
from pinchbolt.workshop.stays.rest import RestLine, RestView, rest_of_bike
from pinchbolt.workshop.stays.standing import open_lines, standing_of

_AHEAD = 400


@dataclass(frozen=True, slots=True)
class SplitRequest:
    """Agreed lines that wait for another day, about which one, and why. `untouched`: nothing of them was begun."""

    job: int
    lines: tuple[int, ...]
    day: date
    words: str = ""
    untouched: bool = False


@dataclass(frozen=True, slots=True)
class TakeUpRequest:
    """The job that goes on with the rest of the one before."""

    job: int


def split_job(request: SplitRequest, *, by: int, key: str, now: datetime) -> None:
    """Put lines off to another day: this job ends without them, their parts stay ordered, and what was agreed stays agreed.

    Raises:
        InputRefused: No line was chosen, or the day is not ahead.
        NotPossibleNow: A line is not agreed or is done; nothing would be left to do or be paid for; or the job is over.
    """
    with act("rest put off", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        job = job_by_id(request.job)
        still_open(job)
        chosen = _chosen(request, job, local_day(now))
        short(request.words, "words", worded("Why they wait"), 120)
        this.write(job=job)
        why = worded(
            "another day, about {day:%d %b %Y}{words}",
            day=request.day,
            words=f": {request.words}" if request.words else "",
        )
        for line in chosen:
            said = {"job": job.pk, "line": line.pk, "reason": why, "untouched": request.untouched}
            this.also("line given back", f"later-{line.pk}", job=job, said=said)


def _chosen(request: SplitRequest, job: Job, today: date) -> list[Line]:
    stand = standing_of(job)
    rows = {row.pk: row for row in Line.objects.filter(job=job, pk__in=request.lines)}
    if not request.lines or len(rows) < len(set(request.lines)):
        sentence = worded(
            "No line was chosen, or one of another job: choose those that wait for another day."
        )
        raise InputRefused(sentence, {"lines": sentence})
    for row in rows.values():
        if row.pk not in stand.agreed or row.pk in stand.done:
            what = worded("is done") if row.pk in stand.done else worded("is not agreed")
            raise NotPossibleNow(
                worded(
                    '"{words}" {what}: only what is agreed and not done waits for another day.',
                    words=row.words,
                    what=what,
                )
            )
    if not set(stand.agreed) - rows.keys():
        raise NotPossibleNow(
            worded("Nothing would be left to do in this job: promise another day instead, or call it off.")
        )
    if not 0 < (request.day - today).days <= _AHEAD:
        sentence = worded(
            "{day:%d %b %Y} is not ahead, or more than a year away. Choose another day; about is enough.",
            day=request.day,
        )
        raise InputRefused(sentence, {"day": sentence})
    return [rows[line] for line in sorted(rows)]


def take_up(request: TakeUpRequest, *, by: int, key: str, now: datetime) -> int:
    """Go on with the rest of the bike's stay before, in this job; return how many lines.

    A line whose price still holds is agreed as it was told; where one ran out, all are there to be asked anew.

    Raises:
        NotPossibleNow: Nothing was put off, or the job is over.
    """
    mark = key[:50]
    with one_at_a_time():
        job = job_by_id(request.job)
        before = Event.objects.filter(key=f"{mark}-up").first()
        if before is not None:
            return len(before.said["lines"])
        still_open(job)
        rest = rest_of_bike(job.bike)
        if rest is None:
            raise NotPossibleNow(
                worded("Nothing of an earlier stay of {tag} waits to be done.", tag=job.bike.tag)
            )
        today = local_day(now)
        new = {
            line.id: _again(line, rest, job, today, by=by, key=f"{mark}-{line.id}", now=now)
            for line in rest.lines
        }
        with act("rest taken up", by=by, key=f"{mark}-up", now=now, request=request) as this:
            this.said = {
                "job": job.pk,
                "before": rest.job,
                "lines": {str(old): line for old, line in new.items()},
            }
            this.write(job=job)
        unsaid = [line for line in new.values() if line not in standing_of(job).answers]
        if unsaid and all(line.holds_on(today) for line in rest.lines):
            ask_owner(PriceRequest(job.pk), by=by, key=f"{mark}-ask", now=now)
            said = AnswerRequest(job.pk, dict.fromkeys(unsaid, True), AGREED_BEFORE)
            answer(said, by=by, key=f"{mark}-yes", now=now)
        return len(new)


def _there_already(old: Line, job: Job) -> Line | None:
    """The line of the same work at the same place, where somebody put it on when the bike came in."""
    same = [one for one in open_lines(job) if one.operation == old.operation] if old.operation else []
    return next((one for one in same if place_of_line(one) == place_of_line(old)), None)


def _again(line: RestLine, rest: RestView, job: Job, today: date, *, by: int, key: str, now: datetime) -> int:
    """The line of before in this job, at what was told while that holds; whoever bore it bears it."""
    old = Line.objects.select_related("finding__part", "job__bike").get(pk=line.id)
    there = _there_already(old, job)
    if there is not None and there.answers.exists():
        return int(there.pk)
    new = (
        there.pk if there is not None else put_on_again(old, job.pk, of_finding=True, by=by, key=key, now=now)
    )
    bear_again(old, new, job.pk, by=by, key=f"{key}-borne", now=now)
    if not line.holds_on(today):
        return new
    (costs,) = (one.money for one in estimate(job, today).lines if one.id == new)
    work = line.total - costs.parts_total
    if costs.total == line.total or work < 0 or not (old.operation or old.own_minutes):
        return new
    said = {
        "job": job.pk,
        "line": new,
        "price": str(work),
        "reason": worded("as told at the stay before ({job})", job=rest.job),
    }
    with act("work price set", by=by, key=f"{key}-held", now=now, request=said) as this:
        return line_again(this, Line.objects.get(pk=new), own_price=work).line
