"""Agreeing on the next visit with the owner: what may wait is weighed until that day, and the bike is expected then."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job, Line
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.next_visit import AGREED, as_kept, visit_of
from pinchbolt.workshop.stays.standing import open_lines, standing_of
from pinchbolt.workshop.wear.waiting import waiting_for

_AHEAD = timedelta(days=731)


@dataclass(frozen=True, slots=True)
class VisitRequest:
    """The day on which the owner brings the bike again; None: no day is agreed any more."""

    job: int
    day: date | None


@dataclass(frozen=True, slots=True)
class VisitView:
    """The day that stands, or None."""

    day: date | None


def agree_visit(request: VisitRequest, *, by: int, key: str, now: datetime) -> VisitView:
    """Write down the day that was agreed; what waiting costs is said anew of every line that has no answer yet.

    What the owner has answered already stays as they heard it.

    Raises:
        InputRefused: The day does not lie ahead, or is more than two years away.
        NotPossibleNow: The job is over.
    """
    with act(AGREED, by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            if job_state(job).ended:
                raise NotPossibleNow(
                    worded("{tag} is gone: agree on the day when it is here again.", tag=job.bike.tag)
                )
            today = local_day(now)
            if request.day is not None and not today < request.day <= today + _AHEAD:
                sentence = worded(
                    "The next visit is on {day:%d %b %Y}: after today, and within two years. Choose "
                    "another day.",
                    day=request.day,
                )
                raise InputRefused(sentence, {"day": sentence})
            this.said = {
                "job": job.pk,
                "day": request.day.isoformat() if request.day else None,
                "waiting": _waiting_until(job, request.day, today),
            }
            this.write(job=job)
        return VisitView(visit_of(job.bike))


def _waiting_until(job: Job, day: date | None, today: date) -> dict[str, object]:
    """What leaving each line that is found and not answered costs until then."""
    answered = standing_of(job).answers
    return {
        str(row.pk): as_kept(waiting_for(row.finding, row.operation, _parts(row), job.bike, today, day))
        for row in open_lines(job)
        if row.finding is not None and row.pk not in answered
    }


def _parts(row: Line) -> tuple[LinePart, ...]:
    return tuple(LinePart(part["name"], Decimal(part["each"]), int(part["count"])) for part in row.parts)
