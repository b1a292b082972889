"""When a bike was promised: said at check-in, and anew with a reason; older promises stay in the history."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice

from django.utils import timezone

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.describe_shop import is_closed
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.open_workshop import DAYS
from pinchbolt.workshop.acts.state import events_of, job_state
from pinchbolt.workshop.common.checks import local_day, number, sensible_promise, short

WHY = ("waits for a part", "waits for the owner", "more work", "our fault", "owner's wish")
TOLD = ("by phone", "by text", "by e-mail", "at the counter", "not yet")
NOT_YET = "not yet"
_AHEAD = 366


@dataclass(frozen=True, slots=True)
class PromiseRequest:
    """The new promise of a job, why it moved, and whether the owner knows; None takes the promise away.

    `odds` are those that were told with the day (0 to 1), None where nobody asked for them.
    """

    job: int
    promise: datetime | None
    why: str
    told: str = NOT_YET
    odds: float | None = None


@dataclass(frozen=True, slots=True)
class ToldRequest:
    """The owner was told of the newest promise: how."""

    job: int
    how: str


@dataclass(frozen=True, slots=True)
class PromiseView:
    """A promise; `why` is "" of the first one, `is_told` whether the owner knows of it, `odds` as they were told with it."""

    at: datetime | None
    why: str
    is_told: bool
    by: str = ""
    said_at: datetime | None = None
    odds: float | None = None


def promise(request: PromiseRequest, *, by: int, key: str, now: datetime) -> PromiseView:
    """Move a promise.

    Raises:
        InputRefused: The day is closed, past or more than a year ahead; no such reason or way of telling.
        NotPossibleNow: The job is over.
    """
    with act("promised", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            _not_over(job)
            _one_of(request.why, WHY, "why", worded("The reason"))
            _one_of(request.told, TOLD, "told", worded("Whether the owner knows"))
            at = sensible_promise(request.promise, now)
            if at is not None:
                refuse_closed(local_day(at), local_day(now))
            before = promise_of(job).at
            this.said = {
                "job": job.pk,
                "promise": at.isoformat() if at else None,
                "before": before.isoformat() if before else None,
                "why": request.why,
                "told": request.told,
                "odds": sound_odds(request.odds),
            }
            this.write(job=job)
        return promise_of(job)


def tell_owner(request: ToldRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that the owner was told of the newest promise.

    Raises:
        InputRefused: No such way.
        NotPossibleNow: The owner knows, or the job is over.
    """
    with act("owner told", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        _not_over(job)
        _one_of(request.how, TOLD[:-1], "how", worded("How the owner was told"))
        if promise_of(job).is_told:
            raise NotPossibleNow(worded("The owner knows of the promise already."))
        this.write(job=job)


def promise_of(job: Job) -> PromiseView:
    """Return the newest promise of a job."""
    return promise_in(events_of(job), job)


def promise_in(events: Iterable[Event], job: Job) -> PromiseView:
    """Return the newest promise among the events of a job that stand, in order."""
    newest, is_told, first = None, True, None
    for event in events:
        if event.kind == "checked in":
            first = event
        if event.kind == "promised":
            newest, is_told = event, event.said.get("told") != NOT_YET
        elif event.kind == "owner told":
            is_told = True
    if newest is None:
        return PromiseView(job.promise, "", True, odds=_odds_in(first))
    at = newest.said.get("promise")
    when = datetime.fromisoformat(at) if at else None
    return PromiseView(
        when, str(newest.said.get("why", "")), is_told, newest.by.name, newest.at, _odds_in(newest)
    )


def sound_odds(odds: float | None) -> float | None:
    """Return odds that were told with a day, if they are odds."""
    return (
        None
        if odds is None
        else number(odds, "odds", worded("The odds of the promise"), 0.0, 1.0, worded("of 1"))
    )


def _odds_in(event: Event | None) -> float | None:
    told = None if event is None else event.said.get("odds", event.said.get("promise_odds"))
    return float(told) if isinstance(told, int | float) else None


def promises_before(job: Job) -> tuple[PromiseView, ...]:
    """Return the promises of a job that hold no longer, the first first."""
    kinds = ("checked in", "promised")
    rows = Event.objects.filter(job=job, kind__in=kinds, corrected_by__isnull=True).select_related("by")
    told = list(rows.order_by("pk"))
    all_of_it = [
        promise_in([row for row in told if row.kind == "checked in"], job),
        *(promise_in([row], job) for row in told if row.kind == "promised"),
    ]
    return tuple(one for one in all_of_it[:-1] if one.at is not None)


def open_days_ahead(now: datetime, most: int = 6) -> tuple[date, ...]:
    """Return the next days on which the workshop is open; every day of the week where nobody said which."""
    today = local_day(now)
    days = (today + timedelta(days=ahead) for ahead in range(_AHEAD))
    return tuple(islice((day for day in days if _is_open(day, today)), most))


def _is_open(day: date, today: date) -> bool:
    days = terms().open_days
    return (not days or DAYS[day.weekday()] in days) and not is_closed(day, today)


def refuse_closed(day: date, today: date) -> None:
    """Refuse a day on which the workshop is closed, and name the next one that is open."""
    if _is_open(day, today):
        return
    ahead = (day + timedelta(days=n) for n in range(1, _AHEAD))
    after = next((one for one in ahead if _is_open(one, today)), day)
    sentence = worded(
        "{day:%A} is closed. {after:%A} {after_day} {after:%b} is open: choose it, or another day.",
        day=day,
        after=after,
        after_day=after.day,
    )
    raise InputRefused(sentence, {"day": sentence, "promise": sentence})


def _not_over(job: Job) -> None:
    if job_state(job).ended:
        raise NotPossibleNow(worded("{tag} is gone: nothing is promised any more.", tag=job.bike.tag))


def _one_of(said: str, known: tuple[str, ...], field: str, what: str) -> None:
    short(said, field, what, 40)
    if said not in known:
        sentence = worded(
            '{what} is "{said}": {known}. Choose one.', what=what, said=said[:40], known=", ".join(known)
        )
        raise InputRefused(sentence, {field: sentence})


def promise_words(at: datetime | None) -> str:
    """Return a promise as the history tells it."""
    if at is None:
        return "nothing"
    local = timezone.localtime(at)
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}"
