"""The open jobs as the day engine takes them: what is left, what each waits for, how long it stood on a stand, what is promised."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from pinchbolt.engines.day import JobAhead, ShopAhead, ShopTaught, Wait
from pinchbolt.records.models import Event, Job, Line
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import JobState, Where, jobs_here, state_of, that_stand
from pinchbolt.workshop.bikes.battery import is_swollen
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day._shop_clock import clock_of
from pinchbolt.workshop.day._stand_times import StandTime, stand_time
from pinchbolt.workshop.day._taught import learned, lines_of, open_time
from pinchbolt.workshop.day._work_left import AFTER, WorkLeft, work_left
from pinchbolt.workshop.day.hours_in import AHEAD, hands_ahead
from pinchbolt.workshop.parts.wanted import BACK, ORDERED, WANTED, WRONG, WantedView, open_wanted
from pinchbolt.workshop.stays.promise import PromiseView, promise_in

SEED = 20
# A bike that nobody has walked round yet: small, usual and big work by what came in so far; these until ten did. From memory.
SIZES = ("small", "usual", "big")
_UNTOLD: Mapping[str, tuple[float, float, float]] = {
    "small": (10, 20, 40),
    "usual": (25, 50, 110),
    "big": (80, 150, 260),
}
_TENTHS: Mapping[str, tuple[float, float, float]] = {
    "small": (0.05, 0.2, 0.4),
    "usual": (0.1, 0.5, 0.9),
    "big": (0.6, 0.85, 0.97),
}
_ENOUGH = 10
# Work all done, nobody signed yet: look round and list. From memory.
_LAST = (5.0, 10.0, 20.0)


@dataclass(frozen=True, slots=True)
class OpenJob:
    """An open job, where it stands, what is left, and how the engine takes it; `ahead` None: nothing is to be done before it leaves.

    `curing_until`: all its work is done, and what was sealed or glued is looked at on that day.
    """

    job: Job
    state: JobState
    promise: PromiseView
    work: WorkLeft
    time: StandTime | None
    missing: tuple[WantedView, ...]
    ahead: JobAhead | None
    curing_until: date | None = None


@once_a_look
def open_jobs_ahead(now: datetime) -> tuple[OpenJob, ...]:
    """Return the open jobs, read together, in the order in which they came."""
    jobs = list(
        jobs_here().select_related("bike", "bike__owner").prefetch_related("events__by").order_by("pk")
    )
    lines = lines_of([job.pk for job in jobs])
    wanted: dict[int, list[WantedView]] = {}
    for one in open_wanted():
        if one.job is not None and one.state in (WANTED, ORDERED, WRONG, BACK):
            wanted.setdefault(one.job, []).append(one)
    known = learned(now)
    return tuple(
        _open_job(
            job, that_stand(job.events.all()), lines.get(job.pk, ()), wanted.get(job.pk, ()), now, known
        )
        for job in jobs
    )


def the_shop(now: datetime, jobs: Sequence[OpenJob]) -> ShopAhead:
    """Return the shop as the engine takes it."""
    today = local_day(now)
    found = tuple(one.ahead for one in jobs if one.ahead is not None)
    return ShopAhead(clock_of(now, today), hands_ahead(today), terms().stands, found, learned(now), SEED)


def size_minutes(size: str, known: ShopTaught) -> tuple[float, float, float]:
    """Return low, usual and high minutes of a bike of which nothing is known but its size."""
    usual = [one.usual for one in known.coming.past]
    if len(usual) < _ENOUGH:
        return _UNTOLD[size]
    low, middle, high = (float(one) for one in np.quantile(usual, _TENTHS[size]))
    return low, middle, max(high, middle)


def _open_job(
    job: Job,
    events: list[Event],
    lines: Sequence[Line],
    missing: Sequence[WantedView],
    now: datetime,
    known: ShopTaught,
) -> OpenJob:
    state, promise, work = state_of(events), promise_in(events, job), work_left(events, lines)
    all_done = bool(work.lines) and not work.open
    time = stand_time(events, now, open_time(), all_done=all_done)
    ahead, cures = None, _cures_until(events, work, local_day(now))
    if state.where not in (Where.READY, Where.AWAY) and not state.ended:
        ahead = _ahead(job, events, state, promise, work, time, missing, now, known, cures)
    return OpenJob(job, state, promise, work, time, tuple(missing), ahead, cures if all_done else None)


def _ahead(
    job: Job,
    events: list[Event],
    state: JobState,
    promise: PromiseView,
    work: WorkLeft,
    time: StandTime | None,
    missing: Sequence[WantedView],
    now: datetime,
    known: ShopTaught,
    cures: date | None,
) -> JobAhead:
    today = local_day(now)
    minutes, used = work.minutes, time.minutes if time is not None else None
    if not work.lines:
        minutes = size_minutes("usual", known)
    elif not work.open:
        # What is left is the look round: it is begun, and its time starts anew.
        minutes, used = _LAST, 0.0
    return JobAhead(
        id=str(job.pk),
        minutes=minutes,
        kind=work.kind,
        promise=None if promise.at is None else clock_of(promise.at, today),
        used=used,
        used_by=time.person if time is not None else "",
        # On a bike with a swollen battery nobody works, and nobody knows until when.
        waits=(Wait("part", "", 0, AHEAD),)
        if is_swollen(job.bike)
        else tuple(_waits(events, state, work, missing, today)),
        nights=work.nights,
        after=AFTER,
        needs=work.needs,
        # Also while other lines are worked on: what was sealed or glued is not looked at before its day.
        cured_on=0 if cures is None else (cures - today).days,
    )


def _cures_until(events: Sequence[Event], work: WorkLeft, today: date) -> date | None:
    """The open day on which what was done last and needs nights can be looked at; None where it can be today."""
    nights = {line.id: line.nights for line in work.lines}
    days = [
        local_day(event.at) + timedelta(days=nights.get(int(event.said["line"]), 0))
        for event in events
        if event.kind == "line done" and nights.get(int(event.said["line"]), 0)
    ]
    last = max(days, default=today)
    while last > today and not open_time().is_open(last):
        last += timedelta(days=1)
    return last if last > today else None


def _waits(
    events: list[Event], state: JobState, work: WorkLeft, missing: Sequence[WantedView], today: date
) -> list[Wait]:
    """What must come first: parts by their suppliers, the owner's answer, the bike itself."""
    days = open_time()
    found = []
    for one in missing:
        asked = local_day(one.since)
        if one.state == ORDERED and one.due is not None:
            since = days.days(one.due, today) if one.due < today else 0
            found.append(Wait("part", one.supplier, since, (one.due - today).days))
        else:
            found.append(Wait("part", one.supplier, days.days(asked, today) if one.state == ORDERED else 0))
    if state.where is Where.PART and not missing:
        found.append(Wait("part", "", _since(events, days.days, today)))
    if state.where in (Where.OWNER, Where.HOME) or (work.waits_for_owner and bool(work.lines)):
        found.append(Wait("owner", "", _since(events, days.days, today) if work.first_asked else 0))
    return found


def _since(events: list[Event], days: Callable[[date, date], int], today: date) -> int:
    last = next((event for event in reversed(events) if event.kind in ("priced", "set aside", "moved")), None)
    return 0 if last is None else days(local_day(last.at), today)
