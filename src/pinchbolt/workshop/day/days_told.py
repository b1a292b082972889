"""Three days with their odds for a bike at the counter or a job that is here; the promises that stand, and whom to call."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import isfinite

from django.utils import timezone

from pinchbolt.engines.day import (
    CALL_UNDER,
    ENOUGH,
    JobAhead,
    JobOdds,
    Odds,
    PromiseOdds,
    is_grown,
    open_odds,
    promise_odds,
)
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job
from pinchbolt.values import Reason
from pinchbolt.values.about import time_words
from pinchbolt.values.ahead import odds_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.battery import is_swollen, refuse_swollen
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day._shop_clock import clock_of, hours_to_promise, moment_of
from pinchbolt.workshop.day._taught import learned
from pinchbolt.workshop.day._work_left import AFTER
from pinchbolt.workshop.day.hours_in import AHEAD, promise_percent
from pinchbolt.workshop.day.jobs_ahead import SIZES, OpenJob, open_jobs_ahead, size_minutes, the_shop
from pinchbolt.workshop.parts.wanted import ORDERED

_CANNOT = worded(
    "No day of the next weeks reaches the odds of this shop: say a day when the part or the hand is sure."
)
_TOO_FULL = worded("The work here fills all the days up to {last}. Take no more in; ask again tomorrow.")
_FULL = worded(
    "Up to {last} no day reaches {odds}. Take no more in, or offer {later}. That holds "
    "if nothing else is promised sooner."
)


@dataclass(frozen=True, slots=True)
class DayTold:
    """A day with its odds; `words` as they are said: Thu 3 Dec 17:00: 9 in 10."""

    at: datetime
    odds: float
    words: str


@dataclass(frozen=True, slots=True)
class MovedPromise:
    """What a bike does to a promise that stands: its odds before and after. `is_hit`: it falls under 6 in 10 by it."""

    job: int
    tag: str
    promise: datetime
    before: float
    after: float
    words: str
    is_hit: bool


@dataclass(frozen=True, slots=True)
class DaysTold:
    """The days for a job: the one at the shop's odds first, None where there is none; what it does to others; why; what is not known.

    `cannot` says why no day reaches the odds of this shop and what to do, "" where one does. `is_full`: the work that is here is why.
    `later` is then the first day that holds if nothing else is promised sooner; None where the shop is not full or not even that helps.
    """

    at_odds: float
    best: DayTold | None
    days: tuple[DayTold, ...]
    others: tuple[MovedPromise, ...]
    why: tuple[Reason, ...]
    doubts: tuple[str, ...]
    cannot: str
    is_full: bool
    later: DayTold | None

    @property
    def is_hit(self) -> bool:
        """Whether a promise that stands falls under 6 in 10 by it."""
        return any(one.is_hit for one in self.others)


@dataclass(frozen=True, slots=True)
class PromiseNow:
    """A promise that stands, with its odds now and those told with it; `call` is what to do where it is under 6 in 10, else ""."""

    job: int
    tag: str
    bike_words: str
    owner: str
    phone: str
    promise: datetime
    odds: float
    odds_words: str
    told: float | None
    middle: datetime | None
    call: str
    text: str
    has_grown: str

    @property
    def told_words(self) -> str:
        """The odds that were told with it, "" where none were."""
        return "" if self.told is None else odds_words(self.told)


def days_for_new(size: str, now: datetime) -> DaysTold:
    """Return the days for a bike that comes in, of which nothing is known but about how much work it is: small, usual, big.

    Raises:
        InputRefused: No such size.
    """
    if size not in SIZES:
        sentence = worded(
            'The work is "{size}": {sizes}. Choose one.', size=size[:20], sizes=", ".join(SIZES)
        )
        raise InputRefused(sentence, {"size": sentence})
    new = JobAhead("new", size_minutes(size, learned(now)), after=AFTER)
    return _days(
        new,
        open_jobs_ahead(now),
        now,
        (worded("Nobody has looked at it yet: its work is taken from bikes that came in."),),
    )


def full_words(now: datetime) -> str:
    """Return what to say where a usual bike that comes in now has no day at the odds of this shop, since it is full; else ""."""
    try:
        told = days_for_new("usual", now)
    except NotPossibleNow:
        return ""
    return told.cannot if told.is_full else ""


def days_for_job(job: int, now: datetime) -> DaysTold:
    """Return the days for a job that is here, as if it were promised anew.

    Raises:
        NotFound: No such job.
        NotPossibleNow: It is ready, or over, or nobody may work on it.
    """
    found = job_by_id(job)
    refuse_swollen(found.bike)
    jobs = open_jobs_ahead(now)
    own = next((one for one in jobs if one.job.pk == found.pk), None)
    if own is None or own.ahead is None:
        raise NotPossibleNow(
            worded("{tag} is ready or gone: nothing is promised any more.", tag=found.bike.tag)
        )
    others = tuple(one for one in jobs if one is not own)
    doubts = (
        ()
        if own.work.lines
        else (worded("Nobody has looked at it yet: its work is taken from bikes that came in."),)
    )
    return _days(replace(own.ahead, promise=None), others, now, (*doubts, *_not_known(own)))


def _not_known(job: OpenJob) -> list[str]:
    """What nobody said of the parts that a job waits for."""
    return [
        worded(
            "Nobody said a day for {words}: it is taken as {supplier} deliver{s}.",
            words=part.words,
            supplier=part.supplier or worded("suppliers"),
            s="s" if part.supplier else "",
        )
        if part.state == ORDERED
        else worded("{words} is not ordered: its days count as if it were ordered today.", words=part.words)
        for part in job.missing
        if part.state != ORDERED or part.due is None
    ]


def _days(new: JobAhead, jobs: Sequence[OpenJob], now: datetime, doubts: tuple[str, ...]) -> DaysTold:
    today = local_day(now)
    shop = the_shop(now, jobs)
    if not shop.hands:
        raise NotPossibleNow(worded("Nobody works at bikes here: add a mechanic under settings, people."))
    chosen = promise_percent() / 100
    hours = hours_to_promise(today, clock_of(now, today))
    if not hours:
        raise NotPossibleNow(
            worded(
                "The shop is open on none of the next {ahead} days: no day can be told with its "
                "odds. Choose one by hand.",
                ahead=AHEAD,
            )
        )
    found = promise_odds(shop, new, hours, chosen)
    later = None if found.if_none_sooner is None else _day(found.if_none_sooner, today)
    cannot = _why_none(found, later, moment_of(hours[-1], today), chosen)
    by_id = {str(one.job.pk): one for one in jobs}
    others = tuple(
        _moved(by_id[one.id], one.before, one.after)
        for one in found.others
        if by_id[one.id].promise.at is not None
    )
    return DaysTold(
        chosen,
        None if found.best is None else _day(found.best, today),
        # A day that no run reached is none.
        tuple(_day(one, today) for one in found.days if one.odds > 0),
        others,
        found.reasons,
        (*doubts, *_doubts(cannot, now)),
        cannot,
        found.is_full,
        later,
    )


def _why_none(found: PromiseOdds, later: DayTold | None, last: datetime, chosen: float) -> str:
    """Why no day reaches the odds of this shop, and what to do."""
    if found.best is not None:
        return ""
    if not found.is_full:
        return _CANNOT
    day = _short(last)
    if later is None:
        return _TOO_FULL.format(last=day)
    return _FULL.format(last=day, odds=odds_words(chosen), later=later.words)


def _doubts(cannot: str, now: datetime) -> list[str]:
    told = [cannot] if cannot else []
    jobs = learned(now).minutes.jobs
    if not jobs:
        told.append(worded("No job is done by this book yet: minutes are the trade's, spread wide."))
    elif jobs < ENOUGH:
        told.append(
            worded(
                "{jobs} job{s} done by this book so far: minutes lean on the trade's.",
                jobs=jobs,
                s="" if jobs == 1 else "s",
            )
        )
    return told


def _day(one: Odds, today: date) -> DayTold:
    return day_at_odds(moment_of(one.at, today), one.odds)


def day_at_odds(at: datetime, odds: float) -> DayTold:
    """Return a day with its odds as it is said."""
    return DayTold(at, odds, f"{_short(at)} {timezone.localtime(at):%H:%M}: {odds_words(odds)}")


def _short(at: datetime) -> str:
    local = timezone.localtime(at)
    return f"{local:%a} {local.day} {local:%b}"


def _moved(job: OpenJob, before: float, after: float) -> MovedPromise:
    at = job.promise.at
    assert at is not None
    words = worded("{before} to {after}", before=odds_words(before), after=odds_words(after))
    return MovedPromise(job.job.pk, job.job.bike.tag, at, before, after, words, after < CALL_UNDER <= before)


@once_a_look
def odds_now(now: datetime) -> tuple[tuple[OpenJob, JobOdds], ...]:
    """Return every open job that is not ready with its odds and its turn."""
    jobs = [one for one in open_jobs_ahead(now) if one.ahead is not None]
    shop = the_shop(now, jobs)
    if not jobs or not shop.hands:
        return ()
    return tuple(zip(jobs, open_odds(shop), strict=True))


def promises_now(now: datetime) -> tuple[PromiseNow, ...]:
    """Return the promises that stand, the least likely first."""
    found = [_now(job, odds, now) for job, odds in odds_now(now) if job.promise.at is not None]
    return tuple(sorted(found, key=lambda one: (one.odds, one.promise)))


def to_call(now: datetime) -> tuple[PromiseNow, ...]:
    """Return the promises under 6 in 10: each with the one call to make."""
    return tuple(one for one in promises_now(now) if one.call)


def has_grown(job: OpenJob, now: datetime) -> str:
    """Return why a job has grown, in words; "" where it has not: a line more since its promise, or time past its 90 % point."""
    ahead, time = job.ahead, job.time
    if ahead is None:
        return ""
    if (
        job.work.open
        and time is not None
        and is_grown(time.minutes, ahead, learned(now).minutes, time.person)
    ):
        return worded(
            "{minutes} on the stand: longer than nine of ten such jobs take", minutes=time_words(time.minutes)
        )
    said_at = job.promise.said_at or job.job.opened_at
    # Lines of the first look were not known at check-in either; what is added once the owner was asked makes a job grow.
    asked = job.work.first_asked
    if asked is not None and any(line.at > max(said_at, asked) for line in job.work.open):
        return worded("work was added since the promise")
    return ""


def _now(job: OpenJob, odds: JobOdds, now: datetime) -> PromiseNow:
    today, at = local_day(now), job.promise.at
    assert at is not None and odds.odds is not None
    middle = moment_of(odds.middle, today) if isfinite(odds.middle) else None
    likely = odds.odds >= CALL_UNDER
    return PromiseNow(
        job.job.pk,
        job.job.bike.tag,
        job.job.bike.words,
        job.job.bike.owner.name,
        job.job.bike.owner.phone,
        at,
        odds.odds,
        odds_words(odds.odds),
        job.promise.odds,
        middle,
        "" if likely else _call(job),
        "" if likely else _text(job.job, at, odds.late, now),
        has_grown(job, now),
    )


def _call(job: OpenJob) -> str:
    """The one call to make: the supplier where a part is what it hangs on, else the owner."""
    bike = job.job.bike
    if is_swollen(bike):
        return worded(
            "Ring {name}: its battery is swollen, and nothing is done on {tag} until it is gone.",
            name=bike.owner.name or worded("the owner"),
            tag=bike.tag,
        )
    if job.missing:
        part = job.missing[0]
        whom = part.supplier or worded("the supplier")
        return worded(
            "Ring {whom}: where is {words} for {tag}? Then tell {name} a new day.",
            whom=whom,
            words=part.words,
            tag=bike.tag,
            name=bike.owner.name or worded("the owner"),
        )
    if job.work.waits_for_owner:
        return worded(
            "Ring {name}: may we do the work on {tag}?",
            name=bike.owner.name or worded("the owner"),
            tag=bike.tag,
        )
    return worded(
        "Ring {name} before they come: tell them a new day.", name=bike.owner.name or worded("the owner")
    )


def _text(job: Job, promised: datetime, late: float, now: datetime) -> str:
    """What is written to the owner: the first hour bikes are promised for that holds in nine of ten runs, no excuse."""
    today = local_day(now)
    hour = next((one for one in hours_to_promise(today, clock_of(now, today)) if one >= late), None)
    until = (
        worded("We tell you the new day as soon as we know it.")
        if hour is None
        else worded("It will be ready by {said}.", said=_said(moment_of(hour, today)))
    )
    fails = worded("was not ready") if promised < now else worded("will not be ready")
    return worded(
        "Your bike ({words}) {fails} on {said} as promised. {until} Sorry.",
        words=job.bike.words or job.bike.tag,
        fails=fails,
        said=_said(promised),
        until=until,
    )


def _said(at: datetime) -> str:
    local = timezone.localtime(at)
    return f"{local:%A} {local.day} {local:%B}, {local:%H:%M}"
