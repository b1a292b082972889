"""What the records teach of minutes, waits and bikes coming in; read anew for every look."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

import numpy as np

from pinchbolt.engines.day import (
    DoneJob,
    PastJob,
    ShopTaught,
    learn_at_bikes,
    learn_coming,
    learn_minutes,
    learn_waiting,
)
from pinchbolt.records.models import Event, Job, Line, WantedMove
from pinchbolt.workshop.acts.describe_shop import closed_spans
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import ENDS, that_stand
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day._shop_clock import OpenTime
from pinchbolt.workshop.day._stand_times import KINDS, stand_time
from pinchbolt.workshop.day._work_left import WorkLeft, work_left
from pinchbolt.workshop.parts.wanted import ARRIVED, ORDERED

# As far back as counts: older times are of another shop.
_BACK, _JOBS, _ARRIVALS = timedelta(days=400), 300, 120
_READ = (*KINDS, "answered", "line given back", "undone")


@once_a_look
def open_time() -> OpenTime:
    """Return the shop's open time, closed days of the past and to come left out."""
    return OpenTime(closed_spans())


@once_a_look
def learned(now: datetime) -> ShopTaught:
    """Return what was learned up to now."""
    days = open_time()
    done = _done_jobs(now)
    past, counts = _came_in(now, days)
    parts, late, owner = _waits(now, days)
    return ShopTaught(
        learn_minutes([one for one, _ in done]),
        learn_waiting(parts, late, owner),
        learn_coming(counts, past),
        learn_at_bikes(_shares(now, days, done)),
    )


def done_jobs(now: datetime) -> tuple[tuple[DoneJob, date], ...]:
    """Return the jobs done lately, each with the day on which its work ended."""
    return _done_jobs(now)


@once_a_look
def _done_jobs(now: datetime) -> tuple[tuple[DoneJob, date], ...]:
    days, found = open_time(), []
    signed = (
        Event.objects.filter(kind="signed off", corrected_by__isnull=True, at__gte=now - _BACK, at__lte=now)
        .order_by("-pk")
        .values_list("job", flat=True)[:_JOBS]
    )
    for _, events, work in jobs_read([number for number in signed if number is not None]):
        lines = [one for one in work.lines if one.id in work.done]
        took = stand_time(events, now, days, all_done=True)
        usual = sum(one.minutes[1] for one in lines)
        if took is None or took.ended is None or took.minutes < 1 or usual < 1:
            continue
        kind = max(lines, key=lambda one: one.minutes[1]).operation
        found.append((DoneJob(usual, took.minutes, kind, took.person), local_day(took.ended)))
    return tuple(sorted(found, key=lambda one: one[1]))


def jobs_read(numbers: Sequence[int]) -> list[tuple[Job, list[Event], WorkLeft]]:
    """Return jobs with their events that stand and their work, read together."""
    rows = Event.objects.filter(job__in=numbers, kind__in=_READ).select_related("by").order_by("pk")
    events: dict[int, list[Event]] = {}
    for row in rows:
        events.setdefault(row.job_id or 0, []).append(row)
    lines = lines_of(numbers)
    return [
        (job, told := that_stand(events.get(job.pk, [])), work_left(told, lines.get(job.pk, [])))
        for job in Job.objects.filter(pk__in=numbers).select_related("bike", "bike__owner")
    ]


def lines_of(jobs: Sequence[int]) -> Mapping[int, list[Line]]:
    """Return the lines of jobs that stand."""
    found: dict[int, list[Line]] = {}
    rows = Line.objects.filter(job__in=jobs, event__corrected_by__isnull=True)
    for line in rows.select_related("event").order_by("pk"):
        found.setdefault(line.job_id, []).append(line)
    return found


def _came_in(now: datetime, days: OpenTime) -> tuple[list[PastJob], list[int]]:
    """Bikes as they came, the newest last, and how many on each open day of the last weeks."""
    today = local_day(now)
    since = now - timedelta(days=120)
    jobs = list(Job.objects.filter(opened_at__gte=since, opened_at__lte=now).order_by("opened_at"))
    counted: dict[date, int] = {}
    for job in jobs:
        day = local_day(job.opened_at)
        counted[day] = counted.get(day, 0) + 1
    first = local_day(jobs[0].opened_at) if jobs else today
    span = range((today - first).days)
    counts = [counted.get(day, 0) for n in span if days.is_open(day := first + timedelta(days=n))]
    past = []
    read = {job.pk: work for job, _, work in jobs_read([job.pk for job in jobs[-_ARRIVALS:]])}
    queues = queue_met(jobs, {number: work.minutes[1] for number, work in read.items()})
    for job in jobs[-_ARRIVALS:]:
        work = read.get(job.pk)
        usual = work.minutes[1] if work is not None else 0.0
        if usual < 1:
            continue
        day = local_day(job.opened_at)
        lead = 1.95
        if job.promise is not None and job.promise > job.opened_at:
            lead = days.days(day, local_day(job.promise)) + days.share_of_day(job.promise)
        nights = max((one.nights for one in work.lines), default=0) if work is not None else 0
        past.append(PastJob(usual, lead, 0.0, nights, queues[job.pk]))
    return past, counts


def queue_met(jobs: Sequence[Job], usual: Mapping[int, float]) -> Mapping[int, float]:
    """Usual minutes of the jobs that stood here unbegun when each of *jobs* came; one whose work nobody read counts as the others do."""
    if not jobs:
        return {}
    begun: dict[int, datetime] = {}
    rows = Event.objects.filter(
        job__in=[job.pk for job in jobs],
        kind__in=("work started", "signed off", *ENDS),
        corrected_by__isnull=True,
    )
    for number, at in rows.order_by("pk").values_list("job", "at"):
        begun.setdefault(number, at)
    told = [one for one in usual.values() if one >= 1]
    mean = sum(told) / len(told) if told else 0.0
    came = np.array([job.opened_at.timestamp() for job in jobs])
    until = np.array([begun[job.pk].timestamp() if job.pk in begun else np.inf for job in jobs])
    minutes = np.array([one if (one := usual.get(job.pk, 0.0)) >= 1 else mean for job in jobs])
    return {
        job.pk: float(minutes[(came < at) & (until > at)].sum()) for job, at in zip(jobs, came, strict=True)
    }


def _waits(now: datetime, days: OpenTime) -> tuple[dict[str, list[float]], list[float], list[float]]:
    """Open days from order to arrival by supplier, days after the day that was said, days until owners answered."""
    moves = (
        WantedMove.objects.filter(
            event__at__gte=now - _BACK, state__in=(ORDERED, ARRIVED), event__corrected_by__isnull=True
        )
        .select_related("event", "supplier")
        .order_by("pk")
    )
    ordered: dict[int, WantedMove] = {}
    parts: dict[str, list[float]] = {}
    late: list[float] = []
    for move in moves:
        if move.state == ORDERED:
            ordered[move.wanted_id] = move
            continue
        before = ordered.pop(move.wanted_id, None)
        if before is None:
            continue
        came, asked = local_day(move.event.at), local_day(before.event.at)
        name = before.supplier.name if before.supplier else ""
        parts.setdefault(name, []).append(float(days.days(asked, came)))
        if before.due is not None:
            late.append(float(days.days(before.due, came)) if came > before.due else 0.0)
    return parts, late, _answers(now, days)


def _answers(now: datetime, days: OpenTime) -> list[float]:
    """Open days from an asking to its answer."""
    rows = Event.objects.filter(
        kind__in=("priced", "answered"), at__gte=now - _BACK, corrected_by__isnull=True
    )
    asked: dict[int, date] = {}
    found = []
    for job, kind, at in rows.order_by("pk").values_list("job", "kind", "at"):
        if kind == "priced":
            asked[job] = local_day(at)
        elif job in asked:
            found.append(float(days.days(asked.pop(job), local_day(at))))
    return found


def _shares(now: datetime, days: OpenTime, done: Sequence[tuple[DoneJob, date]]) -> list[float]:
    """Of each day, the share of its open hours at bikes: days on which a person did several jobs, else the day may have been short of work."""
    by_day: dict[tuple[str, date], list[float]] = {}
    for one, day in done:
        by_day.setdefault((one.person, day), []).append(one.took)
    found = []
    for (_, day), took in by_day.items():
        whole = days.of_day(day)
        if len(took) > 2 and whole > 0 and sum(took) > whole / 2:
            found.append(min(sum(took) / whole, 1.0))
    return found[-120:]
