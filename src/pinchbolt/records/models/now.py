"""What is so now: rows that follow from events and could be worked out anew at any time.

They are here so that a page of today asks about today, however long the history is. They are kept whenever an event or a job
is written; `pinchbolt doctor --rebuild` writes them anew from the events, and `doctor` says where they differ.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import IntegrityError, models
from django.db.models import QuerySet
from django.db.models.signals import post_save
from django.dispatch import receiver

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models.bike import Bike
from pinchbolt.records.models.event import UNDONE, Event
from pinchbolt.records.models.job import Job
from pinchbolt.records.models.row import RecordRow
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded

ENDING = ("handed over", "called off", "not collected")
"""The kinds of event that end a stay."""
ON_STAND = ("put on stand", "work started")
"""The kinds of event that put a bike on the stand that they name."""
OFF_STAND = ("set aside", "moved", "battery swollen", "signed off")
"""The kinds of event, besides the ending ones, after which it is on none."""
_CALLED_BACK, _CAME = "call-back set", "checked in"
_STAYS = (*ENDING, *ON_STAND, *OFF_STAND)
_BACKS = (_CALLED_BACK, _CAME)
_AT_ONCE = 500


class JobHere(RecordRow):
    """A stay that is not over: its bike is in the workshop's hands. A bike has one, and a stand holds one bike.

    `stand` is the one it was put on last and not taken off since, also while it waits there for its owner's answer.
    """

    job = models.OneToOneField(Job, on_delete=models.CASCADE, primary_key=True, related_name="here")
    bike = models.OneToOneField(Bike, on_delete=models.CASCADE, related_name="+")
    stand = models.PositiveIntegerField(null=True, unique=True)


class BikeCallBack(RecordRow):
    """The newest call-back of a bike that did not come in since; `day` is the day it says, `at` when it was set."""

    bike = models.OneToOneField(Bike, on_delete=models.CASCADE, primary_key=True, related_name="call_back")
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="+")
    day = models.DateField()
    at = models.DateTimeField()

    class Meta:
        # Hundreds may be due on one day: the last ones are found without putting all of them in order.
        indexes = [models.Index(fields=["day", "event"], name="call_backs_by_day")]


@receiver(post_save, sender=Event)
def _event_written(instance: Event, **_: object) -> None:
    note_now([instance])


@receiver(post_save, sender=Job)
def _job_written(instance: Job, **_: object) -> None:
    _keep_stays({instance.bike_id})


def note_now(events: Iterable[Event]) -> None:
    """Keep what is so now beside events that were just written; `bulk_create` does not do it by itself."""
    told = [(one.bike_id, _kinds_of(one)) for one in events if one.bike_id]
    stays = {bike for bike, kinds in told if not kinds.isdisjoint(_STAYS)}
    backs = {bike for bike, kinds in told if not kinds.isdisjoint(_BACKS)}
    if stays:
        _keep_stays(stays)
    if backs:
        _keep_backs(backs)


def _kinds_of(event: Event) -> set[str]:
    """Its kind, and that of what it puts right or undoes, and of what that one had put right: any of them may move a bike."""
    kinds = {event.kind}
    while event.corrects is not None:
        event = event.corrects
        kinds.add(event.kind)
    return kinds


@dataclass(frozen=True, slots=True)
class _Here:
    """A stay that is not over, as its events have it; `placed` is the event that put it on its stand."""

    job: int
    bike: int
    stand: int | None
    placed: int


def keep_now(bikes: Collection[int]) -> None:
    """Write anew what is so now of these bikes, from their events.

    Raises:
        NotPossibleNow: A second open stay of one bike, or a second bike on one stand.
    """
    _keep_stays(bikes)
    _keep_backs(bikes)


def _keep_stays(bikes: Collection[int]) -> None:
    stays = _stays_of(bikes)
    here = _newest_of_each(stays)
    _refuse_second_stay(stays)
    JobHere.objects.filter(bike__in=bikes).exclude(job__in=here).delete()
    try:
        _write_here(_without_taken_stands(here))
    except IntegrityError as taken:
        # Somebody else wrote between our look and our word: the database itself lets one through.
        raise NotPossibleNow(
            worded("Somebody else was quicker: the bike or its stand is taken by now. Reload the page.")
        ) from taken


def _write_here(rows: Iterable[_Here]) -> None:
    """Only what changed: most acts leave a bike where it is."""
    wanted = {one.job: one for one in rows}
    kept = {row.job_id: row for row in JobHere.objects.filter(job__in=wanted)}
    # A stand is let go before it is given away.
    moved = [one for one in wanted.values() if one.job in kept and kept[one.job].stand != one.stand]
    if moved:
        JobHere.objects.filter(job__in=[one.job for one in moved]).update(stand=None)
        for one in moved:
            JobHere.objects.filter(job=one.job).update(stand=one.stand)
    JobHere.objects.bulk_create(
        JobHere(job_id=one.job, bike_id=one.bike, stand=one.stand)
        for one in wanted.values()
        if one.job not in kept
    )


def _keep_backs(bikes: Collection[int]) -> None:
    backs = _backs_of(bikes)
    BikeCallBack.objects.filter(bike__in=bikes).exclude(bike__in=[bike for bike, *_ in backs]).delete()
    BikeCallBack.objects.bulk_create(
        [BikeCallBack(bike_id=bike, event_id=event, day=day, at=at) for bike, event, day, at in backs],
        update_conflicts=True,
        unique_fields=["bike"],
        update_fields=["event", "day", "at"],
    )


def _newest_of_each(stays: Iterable[_Here]) -> dict[int, _Here]:
    """By job; of records from before one stay a bike was seen to, the newest stay is the one that is here."""
    by_bike = {one.bike: one for one in sorted(stays, key=lambda one: one.job)}
    return {one.job: one for one in by_bike.values()}


def _refuse_second_stay(stays: Collection[_Here]) -> None:
    """A stay beside one that is kept as open and is not over."""
    bikes = [one.bike for one in stays]
    if len(bikes) == len(set(bikes)):
        return
    open_jobs = {one.job for one in stays}
    for row in JobHere.objects.filter(bike__in=bikes, job__in=open_jobs).select_related("bike"):
        if any(one.bike == row.bike_id and one.job > row.job_id for one in stays):
            raise NotPossibleNow(worded("{tag} is already here. Open its job.", tag=row.bike.tag))


def _without_taken_stands(here: Mapping[int, _Here]) -> list[_Here]:
    """Refuse a stand that another bike holds; who was put there earlier than that one has lost it since."""
    wanted = {one.stand for one in here.values() if one.stand is not None}
    if not wanted:
        return list(here.values())
    others = JobHere.objects.filter(stand__in=wanted).exclude(job__in=here).select_related("bike")
    taken: dict[int | None, JobHere] = {row.stand: row for row in others}
    found = []
    for one in here.values():
        other = taken.get(one.stand)
        if other is not None:
            theirs = _stays_of([other.bike_id])
            if one.placed > max((row.placed for row in theirs if row.job == other.job_id), default=0):
                raise NotPossibleNow(
                    worded(
                        "{tag} is on stand {stand}. Move it, or choose another stand.",
                        tag=other.bike.tag,
                        stand=one.stand,
                    )
                )
        found.append(one if other is None else replace(one, stand=None))
    return found


def rebuild_now() -> int:
    """Write all of it anew; return how many bikes had something that was not so."""
    here, wrong = _amiss()
    JobHere.objects.filter(bike__in=wrong).delete()
    for some in _by_some(wrong):
        _keep_backs(some)
        _write_here(one for one in here if one.bike in set(some))
    return len(wrong)


def now_amiss() -> tuple[int, ...]:
    """Return the bikes of which these rows say something else than their events."""
    return _amiss()[1]


def _amiss() -> tuple[list[_Here], tuple[int, ...]]:
    """Every stay that is not over, and the bikes whose rows say something else."""
    wrong: set[int] = set()
    stays: list[_Here] = []
    for some in _by_some(_bikes()):
        stays += _stays_of(some)
        kept = set(BikeCallBack.objects.filter(bike__in=some).values_list("bike_id", "event_id", "day", "at"))
        wrong |= {row[0] for row in kept ^ _backs_of(some)}
    here = _one_a_stand(_newest_of_each(stays).values())
    kept_here = set(JobHere.objects.values_list("job_id", "bike_id", "stand"))
    wrong |= {bike for _, bike, _ in kept_here ^ {(one.job, one.bike, one.stand) for one in here}}
    return here, tuple(sorted(wrong))


def _one_a_stand(here: Iterable[_Here]) -> list[_Here]:
    """Who was put on a stand last holds it; records from before that was seen to can name two."""
    told = sorted(here, key=lambda one: one.placed)
    holds: dict[int | None, int] = {one.stand: one.job for one in told if one.stand is not None}
    return [one if holds.get(one.stand) == one.job else replace(one, stand=None) for one in told]


def _bikes() -> tuple[int, ...]:
    return tuple(Bike.objects.order_by("pk").values_list("pk", flat=True))


def _by_some(bikes: Collection[int]) -> Iterator[tuple[int, ...]]:
    told = tuple(bikes)
    for at in range(0, len(told), _AT_ONCE):
        yield told[at : at + _AT_ONCE]


def _stays_of(bikes: Iterable[int]) -> list[_Here]:
    """What the events say: each stay that is not over."""
    stays = dict(_jobs_of(tuple(bikes)))
    told = _standing(_stay_events(tuple(stays)))
    ended = {row.job_id for row in told if row.kind in ENDING}
    last = {row.job_id: row for row in told}
    here = []
    for job, bike in stays.items():
        if job not in ended:
            row = last.get(job)
            stand = row.said.get("stand") if row is not None and row.kind in ON_STAND else None
            here.append(_Here(job, bike, stand, row.pk if row is not None else 0))
    return here


def _backs_of(bikes: Iterable[int]) -> set[tuple[int, int, date, datetime]]:
    """What the events say: (bike, event, day, at) of each call-back."""
    newest: dict[int, Event] = {}
    for row in _standing(_back_events(tuple(bikes))):
        if row.bike_id:
            newest[row.bike_id] = row
    return {
        (bike, row.pk, date.fromisoformat(row.said["day"]), row.at)
        for bike, row in newest.items()
        if row.kind == _CALLED_BACK
    }


@prepared
def _jobs_of(bikes: tuple[int, ...]) -> QuerySet[Job, tuple[int, int]]:
    return Job.objects.filter(bike__in=bikes).values_list("pk", "bike_id")


@prepared
def _stay_events(jobs: tuple[int, ...]) -> QuerySet[Event]:
    return _in_short(Event.objects.filter(job__in=jobs, kind__in=_STAYS))


@prepared
def _back_events(bikes: tuple[int, ...]) -> QuerySet[Event]:
    return _in_short(Event.objects.filter(bike__in=bikes, kind__in=_BACKS))


def _in_short(rows: QuerySet[Event]) -> QuerySet[Event]:
    return rows.order_by("pk").only("pk", "bike_id", "job_id", "kind", "said", "at")


@prepared
def _corrections_of(events: tuple[int, ...]) -> QuerySet[Event, tuple[int, int]]:
    return Event.objects.filter(corrects__in=events).values_list("pk", "corrects_id")


@prepared
def _undone_of(events: tuple[int, ...]) -> QuerySet[Event, int]:
    return Event.objects.filter(corrects__in=events, kind=UNDONE).values_list("corrects_id", flat=True)


def _standing(found: list[Event]) -> list[Event]:
    """Those that nothing puts right, or only what was undone itself, the oldest first.

    In steps, each by an index: joined in one question, a database without figures of its tables goes through all events for each.
    """
    puts_right = dict(_corrections_of(tuple(row.pk for row in found)))
    undone = set(_undone_of(tuple(puts_right)))
    wrong = {old for by, old in puts_right.items() if by not in undone}
    return [row for row in found if row.pk not in wrong]
