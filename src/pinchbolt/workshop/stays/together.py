"""Several bikes of one owner that were asked about in one asking: what may be spent without a call counts all of them."""

from pinchbolt.records.models import Job
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import events_told, jobs_here

ASKED_TOGETHER = "asked together"


@once_a_look
def together_with(job: Job) -> tuple[Job, ...]:
    """Return the other jobs that were asked about together with this one and are not over, in order."""
    event = next(reversed(events_told(job, ASKED_TOGETHER)), None)
    if event is None:
        return ()
    others = [one for one in event.said["jobs"] if one != job.pk]
    return tuple(
        jobs_here().filter(pk__in=others, bike__owner=job.bike.owner_id).select_related("bike").order_by("pk")
    )


def others_here(job: Job) -> tuple[Job, ...]:
    """Return the other jobs of this owner that are not over, in order."""
    rows = jobs_here().filter(bike__owner=job.bike.owner_id).exclude(pk=job.pk)
    return tuple(rows.select_related("bike").order_by("pk"))
