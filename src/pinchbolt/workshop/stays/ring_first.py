"""A job whose owner wants to be rung before the work starts."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Job
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import events_of, still_open


@dataclass(frozen=True, slots=True)
class RingFirstRequest:
    """Whether the owner is rung before the work starts."""

    job: int
    ring: bool = True


def ring_first(request: RingFirstRequest, *, by: int, key: str, now: datetime) -> bool:
    """Write down that the owner is rung before the work starts, or is not any more.

    Raises:
        NotPossibleNow: The job is closed.
    """
    with act("ring first", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            still_open(job)
            this.write(job=job)
        return rings_first(job)


def rings_first(job: Job) -> bool:
    """Return whether the owner is rung before the work starts."""
    asked = [event for event in events_of(job) if event.kind == "ring first"]
    return bool(asked and asked[-1].said.get("ring"))
