"""The worst that stands on bikes that are here, for a line each: the same as the findings say, without reading what they say."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from pinchbolt.records.models import Finding, Job
from pinchbolt.values import Verdict
from pinchbolt.workshop.bikes.build_sheet import parts_here
from pinchbolt.workshop.stays.mended import findings_mended, look_up_mended

_Key = tuple[object, str]


@dataclass(frozen=True, slots=True)
class WorstFound:
    """The worst verdict that stands, empty where nothing does; `any_here`: something was found in this stay itself."""

    verdict: str
    any_here: bool


@dataclass(frozen=True, slots=True)
class _Row:
    id: int
    job: int
    part: int | None
    limit: str
    verdict: str

    @property
    def key(self) -> _Key:
        return (self.part, self.limit) if self.limit else (f"eye {self.id}", "")


def worst_found(jobs: Collection[Job]) -> dict[int, WorstFound]:
    """Return by job what `findings_standing` of its findings would put first; one question for all of them.

    The parts of their bikes are looked up before, where there are many.
    """
    rows: dict[int, list[_Row]] = defaultdict(list)
    asked = Finding.objects.filter(
        job__bike__in={job.bike_id for job in jobs}, event__corrected_by__isnull=True
    )
    fields = ("job__bike_id", "pk", "job_id", "part_id", "limit", "verdict")
    for bike, *row in asked.order_by("pk").values_list(*fields):
        rows[bike].append(_Row(*row))
    look_up_mended({job.bike for job in jobs})
    return {job.pk: _worst(job, rows[job.bike_id]) for job in jobs}


def _worst(job: Job, rows: Collection[_Row]) -> WorstFound:
    if not rows:
        return WorstFound("", False)
    own = {row.key: row for row in rows if row.job == job.pk}
    before = {row.key: row for row in rows if row.job < job.pk}
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
