"""A reading of this stay is judged again, since what governs it has changed."""

from datetime import datetime

from pinchbolt.records.models import Job, Reading
from pinchbolt.workshop.part_distance import SAID
from pinchbolt.workshop.state import Where, job_state
from pinchbolt.workshop.take_reading import ReadingAsked, ReadingTaken, take_reading


def judge_again(job: Job, part: int, limit: str, *, by: int, key: str, now: datetime) -> ReadingTaken | None:
    """Take a stay's newest reading of a limit once more as it was shown; None where there is none or the bike is gone."""
    rows = Reading.objects.filter(job=job, part=part, limit=limit, event__corrected_by__isnull=True)
    old = rows.select_related("event").order_by("-pk").first()
    mark = f"{key}-again"
    if old is None or old.event.key == mark or job_state(job).where is Where.GONE:
        return None
    one = old.low is not None and old.low == old.high
    said = old.distance_known in SAID
    asked = ReadingAsked(
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
    return take_reading(asked, by=by, key=mark, now=now)
