"""How much may be spent without a call: said at check-in, and anew whenever the owner says another sum."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import events_told, still_open
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.owners.change_owner import limit_without_a_call
from pinchbolt.workshop.stays.together import together_with


@dataclass(frozen=True, slots=True)
class LimitRequest:
    """The owner's new limit for this job; None: every line is asked. `words`: who said it and how."""

    job: int
    limit: Decimal | None
    words: str = ""


def say_limit(request: LimitRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down what the owner now allows without a call: for this bike, and those that were asked about with it.

    Raises:
        InputRefused: An amount below 0, too large, or finer than the coin.
        NotPossibleNow: The job is closed.
    """
    with act("limit said", by=by, key=key, now=now, request=request, private=("words",)) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        limit_without_a_call(request.limit)
        short(request.words, "words", worded("Who said it"), 120)
        this.write(job=job)
        # What was asked together has one limit.
        said = {"limit": None if request.limit is None else str(request.limit)}
        for one in together_with(job):
            this.also("limit said", f"with-{one.pk}", job=one, said={**said, "job": one.pk})


def limit_said_on(job: Job) -> date | None:
    """Return the day on which the standing limit was said, or None where it is that of the check-in."""
    event = _said_on(job)
    return local_day(event.at) if event is not None else None


@once_a_look
def limit_of(job: Job) -> Decimal | None:
    """Return the standing limit of a job: the newest that was said, else that of the check-in."""
    event = _said_on(job)
    if event is None:
        return job.spend_limit
    limit = event.said["limit"]
    return None if limit is None else Decimal(limit)


def _said_on(job: Job) -> Event | None:
    """The newest word on it that stands: one that was taken back is none."""
    return next(reversed(events_told(job, "limit said")), None)
