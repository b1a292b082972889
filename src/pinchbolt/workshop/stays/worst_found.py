"""The worst that stands on bikes that are here, for a line each: the same as the findings say, without reading what they say."""

from collections.abc import Collection
from dataclasses import dataclass

from pinchbolt.records.models import Job
from pinchbolt.values import Verdict
from pinchbolt.workshop.bikes.build_sheet import parts_here
from pinchbolt.workshop.stays.mended import Found, about, findings_mended, found_on, look_up_mended


@dataclass(frozen=True, slots=True)
class WorstFound:
    """The worst verdict that stands, empty where nothing does; `any_here`: something was found in this stay itself."""

    verdict: str
    any_here: bool


def worst_found(jobs: Collection[Job]) -> dict[int, WorstFound]:
    """Return by job what `findings_standing` of its findings would put first; one question for all of them.

    The parts of their bikes are looked up before, where there are many.
    """
    bikes = {job.bike for job in jobs}
    found = found_on(tuple(sorted(bike.pk for bike in bikes)))
    if len(bikes) > 1:
        look_up_mended(bikes)
    return {job.pk: _worst(job, found.get(job.bike_id, ())) for job in jobs}


def _worst(job: Job, rows: Collection[Found]) -> WorstFound:
    if not rows:
        return WorstFound("", False)
    own = {about(row.part, row.limit, row.id): row for row in rows if row.job == job.pk}
    before = {about(row.part, row.limit, row.id): row for row in rows if row.job < job.pk}
    again = {key for key in own if key[1]}
    mended, here = findings_mended(job.bike), parts_here(job.bike).numbers
    carried = [row for key, row in before.items() if row.verdict == Verdict.UNSAFE and key not in again]
    standing = [
        row
        for row in (*own.values(), *carried)
        if row.id not in mended and (row.part is None or row.part in here)
    ]
    first = min(standing, key=lambda row: (-Verdict(row.verdict).rank, row.id), default=None)
    return WorstFound(first.verdict if first is not None else "", bool(own))
