"""A hang tag that was lost: it is printed again, or the bike gets a new one; the old one goes on leading to the bike."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike, EarlierTag, Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag, job_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.building import next_tags


@dataclass(frozen=True, slots=True)
class TagLostRequest:
    """The tag of this job's bike is lost; with `new` the bike gets another one, else the same is printed again."""

    job: int
    new: bool = False


@dataclass(frozen=True, slots=True)
class TagFoundRequest:
    """The lost tag turned up."""

    job: int


def lose_tag(request: TagLostRequest, *, by: int, key: str, now: datetime) -> str:
    """Write down that a tag is lost; return the tag that the bike has now.

    Raises:
        NotPossibleNow: It is lost already, and the same is to be printed again.
    """
    kind = "tag given" if request.new else "tag lost"
    with act(kind, by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        bike = Bike.objects.select_for_update().get(pk=job.bike_id)
        if this.repeated:
            return bike.tag
        if not request.new:
            if is_lost(bike):
                raise NotPossibleNow(
                    worded(
                        "{tag} is lost already: give the bike a new tag, or say that it was found.",
                        tag=bike.tag,
                    )
                )
            this.write(job=job)
            return bike.tag
        old, new = bike.tag, next_tags(1)[0]
        this.said = {"job": job.pk, "old": old, "new": new}
        EarlierTag.objects.create(event=this.write(job=job), bike=bike, tag=old)
        bike.tag = new
        bike.save(update_fields=["tag"])
        return new


def find_tag(request: TagFoundRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that the lost tag turned up.

    Raises:
        NotPossibleNow: It is not lost.
    """
    with act("tag found", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        if not is_lost(job.bike):
            raise NotPossibleNow(worded("{tag} is not lost.", tag=job.bike.tag))
        this.write(job=job)


@once_a_look
def is_lost(bike: Bike) -> bool:
    """Return whether the bike's tag is lost and was not found, and no new one given, since."""
    rows = Event.objects.filter(
        bike=bike, kind__in=("tag lost", "tag given", "tag found"), corrected_by__isnull=True
    )
    newest = rows.order_by("-pk").values_list("kind", flat=True).first()
    return newest == "tag lost"


def take_back_tag(event: Event) -> None:
    """Give a bike back the tag that it had before the act that is taken back.

    Raises:
        NotPossibleNow: It got a further one since.
    """
    old, new = str(event.said["old"]), str(event.said["new"])
    bike = bike_by_tag(new)
    if bike.tag != new:
        raise NotPossibleNow(
            worded("The bike got a further tag since, {tag}: give it another one instead.", tag=bike.tag)
        )
    bike.tag = old
    bike.save(update_fields=["tag"])
