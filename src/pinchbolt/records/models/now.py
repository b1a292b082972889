"""What is so now: rows that follow from events and could be worked out anew at any time.

They are here so that a page of today asks about today, however long the history is. They are kept whenever an event or a job
is written; `pinchbolt doctor --rebuild` writes them anew from the events, and `doctor` says where they differ.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime

from django.db import models
from django.db.models import QuerySet
from django.db.models.signals import post_save
from django.dispatch import receiver

from pinchbolt.records.models.bike import Bike
from pinchbolt.records.models.event import UNDONE, Event
from pinchbolt.records.models.job import Job

ENDING = ("handed over", "called off", "not collected")
"""The kinds of event that end a stay."""
_CALLED_BACK, _CAME = "call-back set", "checked in"
# An undone act may be any of them, and a correction of one stands in its place.
_MOVING = (*ENDING, _CALLED_BACK, _CAME)
_AT_ONCE = 500


class JobHere(models.Model):
    """A stay that is not over: its bike is in the workshop's hands."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, primary_key=True, related_name="here")


class BikeCallBack(models.Model):
    """The newest call-back of a bike that did not come in since; `day` is the day it says, `at` when it was set."""

    bike = models.OneToOneField(Bike, on_delete=models.CASCADE, primary_key=True, related_name="call_back")
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="+")
    day = models.DateField(db_index=True)
    at = models.DateTimeField()


@receiver(post_save, sender=Event)
def _event_written(instance: Event, **_: object) -> None:
    note_now([instance])


@receiver(post_save, sender=Job)
def _job_written(instance: Job, **_: object) -> None:
    keep_now({instance.bike_id})


def note_now(events: Iterable[Event]) -> None:
    """Keep what is so now beside events that were just written; `bulk_create` does not do it by itself."""
    moved = {one.bike_id for one in events if one.bike_id and _moves(one)}
    if moved:
        keep_now(moved)


def _moves(event: Event) -> bool:
    """Whether an event changes what is so now: by its kind, or by what it puts right or undoes."""
    corrected = event.corrects.kind if event.corrects is not None else None
    return event.kind in _MOVING or event.kind == UNDONE or corrected in _MOVING


def keep_now(bikes: Collection[int]) -> None:
    """Write anew what is so now of these bikes, from their events."""
    here, backs = _of(bikes)
    jobs = {job for job, _ in here}
    JobHere.objects.filter(job__bike__in=bikes).exclude(job__in=jobs).delete()
    JobHere.objects.bulk_create([JobHere(job_id=job) for job in jobs], ignore_conflicts=True)
    BikeCallBack.objects.filter(bike__in=bikes).exclude(bike__in=[bike for bike, *_ in backs]).delete()
    BikeCallBack.objects.bulk_create(
        [BikeCallBack(bike_id=bike, event_id=event, day=day, at=at) for bike, event, day, at in backs],
        update_conflicts=True,
        unique_fields=["bike"],
        update_fields=["event", "day", "at"],
    )


def rebuild_now() -> int:
    """Write all of it anew; return how many bikes had something that was not so."""
    bikes = now_amiss()
    for some in _by_some(bikes):
        keep_now(some)
    return len(bikes)


def now_amiss() -> tuple[int, ...]:
    """Return the bikes of which these rows say something else than their events."""
    wrong: set[int] = set()
    for some in _by_some(_bikes()):
        here, backs = _of(some)
        kept_here = set(JobHere.objects.filter(job__bike__in=some).values_list("job_id", "job__bike_id"))
        kept = set(BikeCallBack.objects.filter(bike__in=some).values_list("bike_id", "event_id", "day", "at"))
        wrong |= {bike for _, bike in kept_here ^ here} | {row[0] for row in kept ^ backs}
    return tuple(sorted(wrong))


def _bikes() -> tuple[int, ...]:
    return tuple(Bike.objects.order_by("pk").values_list("pk", flat=True))


def _by_some(bikes: Collection[int]) -> Iterator[tuple[int, ...]]:
    told = tuple(bikes)
    for at in range(0, len(told), _AT_ONCE):
        yield told[at : at + _AT_ONCE]


def _of(bikes: Iterable[int]) -> tuple[set[tuple[int, int]], set[tuple[int, int, date, datetime]]]:
    """What the events say: (job, bike) of each stay that is not over, and (bike, event, day, at) of each call-back."""
    stays = dict(Job.objects.filter(bike__in=tuple(bikes)).values_list("pk", "bike_id"))
    over = _standing(Event.objects.filter(job__in=stays, kind__in=ENDING))
    ended = {row.job_id for row in over}
    newest: dict[int, Event] = {}
    for row in _standing(Event.objects.filter(bike__in=tuple(bikes), kind__in=(_CALLED_BACK, _CAME))):
        if row.bike_id:
            newest[row.bike_id] = row
    backs = {
        (bike, row.pk, date.fromisoformat(row.said["day"]), row.at)
        for bike, row in newest.items()
        if row.kind == _CALLED_BACK
    }
    return {(job, bike) for job, bike in stays.items() if job not in ended}, backs


def _standing(rows: QuerySet[Event]) -> list[Event]:
    """Those that nothing puts right, or only what was undone itself, the oldest first.

    In steps, each by an index: joined in one question, a database without figures of its tables goes through all events for each.
    """
    found = list(rows.order_by("pk").only("pk", "bike_id", "job_id", "kind", "said", "at"))
    puts_right = dict(
        Event.objects.filter(corrects__in=[row.pk for row in found]).values_list("pk", "corrects_id")
    )
    undone = set(
        Event.objects.filter(corrects__in=puts_right, kind=UNDONE).values_list("corrects_id", flat=True)
    )
    wrong = {old for by, old in puts_right.items() if by not in undone}
    return [row for row in found if row.pk not in wrong]
