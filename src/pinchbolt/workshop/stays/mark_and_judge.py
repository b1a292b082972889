"""A limit is marked on a part while it is read: what was read of it at this stay is judged by the marking at once."""

from datetime import datetime

from pinchbolt.records.models import Job, Reading
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.mark_limit import LimitMarked, MarkLimitRequest, mark_limit
from pinchbolt.workshop.rides.part_distance import SAID
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading


def mark_and_judge(request: MarkLimitRequest, job: int, *, by: int, key: str, now: datetime) -> LimitMarked:
    """Write down a limit that is marked on a part, and judge by it what was read of it at this stay.

    Raises:
        InputRefused: As `mark_limit`; then nothing is written.
        NotPossibleNow: The part is on no bike.
    """
    with one_at_a_time():
        done = mark_limit(request, by=by, key=key, now=now)
        judge_again(job_by_id(job), request.part, done.limit, by=by, key=key, now=now)
        return done


def judge_again(job: Job, part: int, limit: str, *, by: int, key: str, now: datetime) -> None:
    """Take a stay's newest reading of a limit once more as it was shown, where there is one and the bike is here."""
    rows = Reading.objects.filter(job=job, part=part, limit=limit, event__corrected_by__isnull=True)
    old = rows.select_related("event").order_by("-pk").first()
    mark = f"{key}-again"
    if old is None or old.event.key == mark or job_state(job).ended:
        return
    one = old.low is not None and old.low == old.high
    said = old.distance_known in SAID
    asked = ReadingRequest(
        job=job.pk,
        part=part,
        limit=limit,
        instrument=old.instrument_id,
        value=old.low if one else None,
        low=None if one else old.low,
        high=None if one else old.high,
        word=old.word,
        place=old.place,
        distance_km=old.distance_km if said else None,
        distance_known=old.distance_known if said else "owner's word",
        day=old.day,
        day_is_guess=old.day_is_guess,
        corrects=old.pk,
    )
    take_reading(asked, by=by, key=mark, now=now)
