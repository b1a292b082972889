"""A spoke that broke: where, which, and how far the wheel had gone; the third one on a wheel is a rebuild."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BROKE_AT, BrokenSpoke
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import local_day, number
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.rides.part_distance import distance_at
from pinchbolt.workshop.wheels._findings_of_wheel import write_broken
from pinchbolt.workshop.wheels._wheel_records import broken_of, known_of, spoke_number, wheel_of_job

PLACES_BROKEN = BROKE_AT
# The third broken spoke: the others are as tired. Common practice, no source.
REBUILD_AT = 3


@dataclass(frozen=True, slots=True)
class BreakSpokeRequest:
    """A spoke that broke: where along it, its number where it was counted, and the wheel's distance where somebody says it. [km]"""

    job: int
    part: int
    at: str
    spoke: int | None = None
    distance_km: float | None = None


@dataclass(frozen=True, slots=True)
class SpokeBroke:
    """How many broke on this wheel so far, and whether it is to be rebuilt."""

    number: int
    rebuild: bool


def break_spoke(request: BreakSpokeRequest, *, by: int, key: str, now: datetime) -> SpokeBroke:
    """Write down a broken spoke; the walk-round's finding comes with it. What was read before no longer hangs together with what is read after.

    Raises:
        InputRefused: No such place, or a distance out of sense.
        NotPossibleNow: No wheel of this bike, or the job is closed.
    """
    with act("spoke broke", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        part = wheel_of_job(job, request.part)
        if not this.repeated:
            still_open(job)
            if request.at not in BROKE_AT:
                sentence = worded(
                    'Where it broke is "{at}": {broke_at}. Choose one.',
                    at=request.at[:30],
                    broke_at=", ".join(BROKE_AT),
                )
                raise InputRefused(sentence, {"at": sentence})
            known = known_of(part)
            if request.spoke is not None:
                spoke_number(request.spoke, known.wheel.spokes if known else 72)
            km, known_by = request.distance_km, "owner's word"
            if km is None:
                km, _, known_by = distance_at(part, local_day(now))
            else:
                number(km, "distance_km", worded("The distance of the wheel"), 0, 500_000, "km")
            this.said = {**as_json(request), "words": str(part)}
            BrokenSpoke.objects.create(
                event=this.write(job=job),
                part=part,
                spoke=request.spoke,
                at=request.at,
                distance_km=km,
                known=known_by if km is not None else "",
            )
            all_of_it = broken_of(part)
            here = sum(one.event.job_id == job.pk for one in all_of_it)
            write_broken(this, job, part, len(all_of_it) if len(all_of_it) >= REBUILD_AT else here)
        broken = len(broken_of(part))
        return SpokeBroke(broken, broken >= REBUILD_AT)
