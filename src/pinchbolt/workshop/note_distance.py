"""How far a bike or an indoor trainer went between two days, and how that is known."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Distance, Trainer
from pinchbolt.workshop.acting import act
from pinchbolt.workshop.checks import not_in_future, number
from pinchbolt.workshop.looking_up import bike_by_tag

KNOWN = {"ride files": 0.02, "odometer": 0.03, "owner's word": 0.15, "guess": 0.4, "a usual week": 0.25}


@dataclass(frozen=True, slots=True)
class DistanceAsked:
    """A stretch of one bike (by tag) or of an indoor trainer (by id): its distance, or so much in a usual week of it.

    `corrects` names the distance (its event) that this one puts right.
    """

    start: date
    end: date
    distance_km: float | None = None
    known: str = "owner's word"
    tag: str = ""
    trainer: int | None = None
    km_a_week: float | None = None
    corrects: int | None = None


def note_distance(asked: DistanceAsked, *, by: int, key: str, now: datetime) -> int:
    """Write a stretch down; returns its event.

    Raises:
        InputRefused: Days reversed or ahead, distance out of sense, an unknown way of knowing, or days counted twice.
        NotFound: No such bike or trainer.
    """
    with act("distance said", by=by, key=key, now=now, asked=asked) as this:
        if this.repeated:
            return this.done_before.pk
        if asked.known not in KNOWN:
            sentence = f'How the distance is known is "{asked.known[:40]}": {", ".join(KNOWN)}. Choose one.'
            raise InputRefused(sentence, {"known": sentence})
        not_in_future(asked.end, now, "end", "The last day")
        if asked.end < asked.start:
            sentence = f"The distance runs from {asked.start:%d %b %Y} to {asked.end:%d %b %Y}: it must end after it starts."
            raise InputRefused(sentence, {"end": sentence})
        most = 60000 if asked.tag else 20000
        km = _km(asked, most)
        bike = bike_by_tag(asked.tag) if asked.tag else None
        trainer = None if bike or asked.trainer is None else Trainer.objects.filter(pk=asked.trainer).first()
        if bike is None and trainer is None:
            raise NotFound(f"There is no indoor trainer {asked.trainer}. Choose one of the list.")
        rows = Distance.objects.filter(bike=bike, trainer=trainer, event__corrected_by__isnull=True)
        old = _put_right(asked, rows)
        rows = rows.exclude(pk=old.pk) if old is not None else rows
        twice = rows.filter(start__lt=asked.end, end__gt=asked.start).first()
        if twice is not None:
            sentence = f"{twice.start:%d %b %Y} to {twice.end:%d %b %Y} is counted already ({twice.km:,.0f} km): days can't be counted twice."
            raise InputRefused(sentence, {"start": sentence})
        event = this.write(bike=bike, corrects=old.event if old is not None else None)
        known = asked.known if asked.km_a_week is None else "a usual week"
        Distance.objects.create(
            event=event,
            bike=bike,
            trainer=trainer,
            start=asked.start,
            end=asked.end,
            km=km,
            sd_share=KNOWN[known],
            known=known,
        )
        return event.pk


def _put_right(asked: DistanceAsked, rows: QuerySet[Distance]) -> Distance | None:
    """The distance that is put right: one of this bike or trainer that still counts."""
    if asked.corrects is None:
        return None
    old = rows.select_related("event").filter(pk=asked.corrects).first()
    if old is None:
        raise NotFound(
            f"There is no distance {asked.corrects} here that still counts. Choose one of the list."
        )
    return old


def _km(asked: DistanceAsked, most: float) -> float:
    """The distance itself, or that of a usual week over the weeks of the stretch."""
    if (asked.distance_km is None) == (asked.km_a_week is None):
        sentence = "A distance is so much in all, or so much a week: give one of both."
        raise InputRefused(sentence, {"distance_km": sentence})
    if asked.km_a_week is None:
        return number(asked.distance_km or 0.0, "distance_km", "The distance", 0, most, "km")
    a_week = number(asked.km_a_week, "km_a_week", "The distance in a usual week", 0, 1500, "km")
    weeks = (asked.end - asked.start).days / 7
    return number(a_week * weeks, "km_a_week", "The distance of all these weeks", 0, most, "km")
