"""A marking that was a wrong tap is taken back: what was marked before governs again, else the table."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import UNDONE, DoneValue, Job, Marking, ProofPhoto
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, allowed, one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.stays.mark_and_judge import judge_again


@dataclass(frozen=True, slots=True)
class MarkingBackRequest:
    """The marking to take back, by its act, and the stay at which it was seen to be wrong."""

    job: int
    marking: int


def take_back_marking(request: MarkingBackRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a marking back: its photo goes, and what it had taken the place of counts again.

    Raises:
        NotFound: There is no such marking of this job's bike.
        NotPossibleNow: It was taken back or read anew already, or the joint was done by it.
    """
    with one_at_a_time():
        job = job_by_id(request.job)
        row = Marking.objects.select_related("event").filter(pk=request.marking).first()
        if row is None or row.event.bike_id != job.bike_id:
            raise NotFound(
                worded(
                    "There is no marking {marking} of {tag}. Choose one of its list.",
                    marking=request.marking,
                    tag=job.bike.tag,
                )
            )
        with act(UNDONE, by=by, key=key, now=now, request=request) as this:
            if this.repeated:
                return
            allowed(by, row.event.kind)
            if _done_by(row, job):
                raise NotPossibleNow(
                    worded(
                        "This joint was tightened by this marking: read the marking again, then tighten it "
                        "again."
                    )
                )
            words = worded("the marking on the {part}", part=row.part)
            this.said = {"kind": row.event.kind, "words": words, "marking": row.pk}
            this.write(bike=job.bike, corrects=row.event)
            ProofPhoto.objects.filter(pk=row.pk).delete()
        if row.limit and row.on_part_id is not None:
            judge_again(job, row.on_part_id, row.limit, by=by, key=key, now=now)


def _done_by(row: Marking, job: Job) -> bool:
    """Whether this stay has a done value of the joint from after the marking."""
    done = DoneValue.objects.filter(job=job, joint=row.joint, event__corrected_by__isnull=True)
    return bool(row.joint) and done.filter(event__gt=row.pk).exists()
