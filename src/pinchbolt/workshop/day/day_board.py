"""The day on the board: people and what each does next and why, what is due, what waits, free stands, whom to call, the week's plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import isfinite

from pinchbolt.engines.day import JobOdds
from pinchbolt.values.about import time_words
from pinchbolt.values.ahead import odds_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import is_closed
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.open_workshop import DAYS
from pinchbolt.workshop.acts.state import Where
from pinchbolt.workshop.bikes.battery import is_swollen
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day._shop_clock import moment_of
from pinchbolt.workshop.day.days_told import PromiseNow, full_words, odds_now, promises_now
from pinchbolt.workshop.day.hours_in import HoursView, hours_told, promise_percent
from pinchbolt.workshop.day.jobs_ahead import OpenJob, open_jobs_ahead
from pinchbolt.workshop.parts.wanted import waits_for

_WEEK = 7


@dataclass(frozen=True, slots=True)
class NextJob:
    """A job in one line: where it stands, why it comes now, from when to when it is planned, its odds."""

    job: int
    tag: str
    bike_words: str
    owner: str
    where: str
    why: str
    person: str
    starts: datetime | None
    ends: datetime | None
    promise: datetime | None
    odds_words: str
    minutes: int


@dataclass(frozen=True, slots=True)
class PersonDay:
    """A person today: in from when to when ("" away), and what comes next for them."""

    sign_in: str
    name: str
    hours: str
    jobs: tuple[NextJob, ...]


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day of the plan: the jobs whose turn comes then, in the middle of all runs."""

    day: date
    jobs: tuple[NextJob, ...]
    promised: int


@dataclass(frozen=True, slots=True)
class DayBoard:
    """The whole day; `odds_percent` are the odds at which this shop promises; `full` says what to do where no day reaches them."""

    today: date
    people: tuple[PersonDay, ...]
    free_stands: tuple[int, ...]
    next_up: tuple[NextJob, ...]
    due_today: tuple[NextJob, ...]
    overdue: tuple[NextJob, ...]
    for_part: tuple[NextJob, ...]
    for_owner: tuple[NextJob, ...]
    curing: tuple[NextJob, ...]
    to_call: tuple[PromiseNow, ...]
    promises: tuple[PromiseNow, ...]
    week: tuple[PlannedDay, ...]
    odds_percent: int
    full: str


def day_board(now: datetime) -> DayBoard:
    """Return the day as it stands now."""
    today = local_day(now)
    rows = [(job, odds, _line(job, odds, today)) for job, odds in odds_now(now)]
    taken = {one.state.stand for one in open_jobs_ahead(now) if one.state.where is Where.STAND}
    told = promises_now(now)
    startable = [(odds.start, line) for job, odds, line in rows if _may_go_on_a_stand(job)]

    def those(chosen: Sequence[bool]) -> tuple[NextJob, ...]:
        return tuple(line for (_, _, line), yes in zip(rows, chosen, strict=True) if yes)

    promised = [job.promise.at for job, _, _ in rows]
    return DayBoard(
        today,
        tuple(_person(one, rows, today) for one in hours_told(today)),
        tuple(number for number in range(1, terms().stands + 1) if number not in taken),
        tuple(line for _, line in sorted(startable, key=lambda one: one[0])),
        those([at is not None and local_day(at) == today and at >= now for at in promised]),
        those([at is not None and at < now for at in promised]),
        those([bool(job.missing) or job.state.where is Where.PART for job, _, _ in rows]),
        those(
            [
                job.state.where is Where.OWNER or (job.work.waits_for_owner and bool(job.work.lines))
                for job, _, _ in rows
            ]
        ),
        those([job.curing_until is not None for job, _, _ in rows]),
        tuple(one for one in told if one.call),
        told,
        _week(rows, today),
        promise_percent(),
        full_words(now),
    )


def _line(job: OpenJob, odds: JobOdds, today: date) -> NextJob:
    bike, at = job.job.bike, job.promise.at
    return NextJob(
        job.job.pk,
        bike.tag,
        bike.words,
        bike.owner.name,
        job.state.words,
        _why(job, today),
        odds.person,
        moment_of(odds.start, today) if isfinite(odds.start) else None,
        moment_of(odds.end, today) if isfinite(odds.end) else None,
        at,
        "" if odds.odds is None else odds_words(odds.odds),
        round(job.ahead.minutes[1]) if job.ahead is not None else 0,
    )


def _why(job: OpenJob, today: date) -> str:
    """Why it comes when it comes."""
    if is_swollen(job.job.bike):
        return worded("its battery is swollen: nothing is done on it")
    if job.curing_until is not None:
        return worded("cures until {curing_until:%A}", curing_until=job.curing_until)
    if job.missing:
        return waits_for(job.missing, today)
    if job.state.where is Where.OWNER:
        return worded("the owner has not answered")
    if job.time is not None:
        return worded("started: {minutes} on the stand", minutes=time_words(job.time.minutes))
    if not job.work.lines:
        return worded("nobody has looked at it yet")
    return (
        worded("the earliest promise of what can start")
        if job.promise.at is not None
        else worded("nothing is promised")
    )


def _may_go_on_a_stand(job: OpenJob) -> bool:
    """Whether it is here, waits for nothing and is on no stand yet."""
    elsewhere = (Where.STAND, Where.OWNER, Where.PART, Where.HOME, Where.OUTSIDE, Where.READY)
    waits = job.missing or job.curing_until is not None or is_swollen(job.job.bike)
    return not waits and job.state.where not in elsewhere


def _person(one: HoursView, rows: Sequence[tuple[OpenJob, JobOdds, NextJob]], today: date) -> PersonDay:
    told = one.days.get(DAYS[today.weekday()])
    off = is_closed(today, today) or any(away.first <= today <= away.last for away in one.off)
    mine = sorted(
        ((odds.start, line) for _, odds, line in rows if odds.person == one.name and isfinite(odds.start)),
        key=lambda pair: pair[0],
    )
    hours = "" if told is None or off else worded("{low} to {high}", low=told[0], high=told[1])
    return PersonDay(one.sign_in, one.name, hours, tuple(line for _, line in mine[:3]))


def _week(rows: Sequence[tuple[OpenJob, JobOdds, NextJob]], today: date) -> tuple[PlannedDay, ...]:
    days: dict[date, list[NextJob]] = {}
    for _, odds, line in sorted(rows, key=lambda row: row[1].start):
        if line.starts is not None and (local_day(line.starts) - today).days < _WEEK and isfinite(odds.start):
            days.setdefault(local_day(line.starts), []).append(line)
    promised: dict[date, int] = {}
    for _, _, line in rows:
        if line.promise is not None:
            promised[local_day(line.promise)] = promised.get(local_day(line.promise), 0) + 1
    return tuple(PlannedDay(day, tuple(jobs), promised.get(day, 0)) for day, jobs in sorted(days.items()))
