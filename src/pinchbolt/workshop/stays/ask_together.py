"""One question about all bikes of an owner that are here: numbered on each, one limit for all, one paper."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state, still_open
from pinchbolt.workshop.owners.change_owner import limit_without_a_call
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.say_limit import limit_of
from pinchbolt.workshop.stays.together import ASKED_TOGETHER, others_here


@dataclass(frozen=True, slots=True)
class TogetherRequest:
    """One of the jobs, and what may be spent on all of them together without a call; None: every line is asked."""

    job: int
    limit: Decimal | None = None


def ask_together(request: TogetherRequest, *, by: int, key: str, now: datetime) -> tuple[int, ...]:
    """Ask the owner about this bike and their others that wait to be asked; return the jobs.

    Raises:
        InputRefused: An amount below 0, too large, or finer than the coin.
        NotPossibleNow: No other bike of theirs waits to be asked, there is nothing to ask here, or the job is over.
    """
    mark = key[:50]
    with one_at_a_time():
        job = job_by_id(request.job)
        before = Event.objects.filter(key=mark, kind=ASKED_TOGETHER).first()
        if before is not None:
            return tuple(before.said["jobs"])
        still_open(job)
        others = to_ask_with(job)
        if not others:
            raise NotPossibleNow(
                worded(
                    "No other bike of {name} is here with work that waits to be asked: ask about {tag} "
                    "alone.",
                    name=job.bike.owner.name,
                    tag=job.bike.tag,
                )
            )
        limit_without_a_call(request.limit)
        jobs = [job, *others]
        limit = None if request.limit is None else str(request.limit)
        with act(ASKED_TOGETHER, by=by, key=mark, now=now, request=request) as this:
            said = {"jobs": [one.pk for one in jobs], "tags": [one.bike.tag for one in jobs], "limit": limit}
            this.said = said
            this.write(job=job)
            for one in others:
                this.also(ASKED_TOGETHER, f"with-{one.pk}", job=one, said=said)
            for one in jobs:
                this.also("limit said", f"limit-{one.pk}", job=one, said={"job": one.pk, "limit": limit})
        for one in jobs:
            ask_owner(PriceRequest(one.pk), by=by, key=f"{mark}-{one.pk}", now=now)
        return tuple(one.pk for one in jobs)


def to_ask_with(job: Job) -> tuple[Job, ...]:
    """Return the other jobs of this owner in which a line waits to be asked or answered."""
    return tuple(
        one
        for one in others_here(job)
        if not job_state(one).signed_off and any(not line.answer for line in estimate(one).lines)
    )


def usual_limit(job: Job) -> Decimal | None:
    """Return the limit that is safe for all of them: the least of theirs, None where one has none."""
    limits = [limit_of(one) for one in (job, *to_ask_with(job))]
    known = [one for one in limits if one is not None]
    return min(known) if len(known) == len(limits) else None
