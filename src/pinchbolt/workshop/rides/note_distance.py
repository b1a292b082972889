"""How far a bike or an indoor trainer went between two days, and how that is known."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Distance, Trainer
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.common.checks import not_in_future, number

KNOWN = {"ride files": 0.02, "odometer": 0.03, "owner's word": 0.15, "guess": 0.4, "a usual week": 0.25}


@dataclass(frozen=True, slots=True)
class DistanceRequest:
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


def note_distance(request: DistanceRequest, *, by: int, key: str, now: datetime) -> int:
    """Write a stretch down; returns its event.

    Raises:
        InputRefused: Days reversed or ahead, distance out of sense, an unknown way of knowing, or days counted twice.
        NotFound: No such bike or trainer.
    """
    with act("distance said", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return this.done_before.pk
        if request.known not in KNOWN:
            sentence = worded(
                'How the distance is known is "{known}": {allowed}. Choose one.',
                known=request.known[:40],
                allowed=", ".join(KNOWN),
            )
            raise InputRefused(sentence, {"known": sentence})
        not_in_future(request.end, now, "end", worded("The last day"))
        if request.end < request.start:
            sentence = worded(
                "The distance runs from {start:%d %b %Y} to {end:%d %b %Y}: it must end after it starts.",
                start=request.start,
                end=request.end,
            )
            raise InputRefused(sentence, {"end": sentence})
        most = 60000 if request.tag else 20000
        km = _km(request, most)
        bike = bike_by_tag(request.tag) if request.tag else None
        trainer = (
            None if bike or request.trainer is None else Trainer.objects.filter(pk=request.trainer).first()
        )
        if bike is None and trainer is None:
            raise NotFound(
                worded(
                    "There is no indoor trainer {trainer}. Choose one of the list.", trainer=request.trainer
                )
            )
        rows = Distance.objects.filter(bike=bike, trainer=trainer, event__corrected_by__isnull=True)
        old = _put_right(request, rows)
        rows = rows.exclude(pk=old.pk) if old is not None else rows
        twice = rows.filter(start__lt=request.end, end__gt=request.start).first()
        if twice is not None:
            sentence = worded(
                "{start:%d %b %Y} to {end:%d %b %Y} is counted already ({km} km): days can't be "
                "counted twice.",
                start=twice.start,
                end=twice.end,
                km=figure_text(twice.km, 0),
            )
            raise InputRefused(sentence, {"start": sentence})
        event = this.write(bike=bike, corrects=old.event if old is not None else None)
        known = request.known if request.km_a_week is None else "a usual week"
        Distance.objects.create(
            event=event,
            bike=bike,
            trainer=trainer,
            start=request.start,
            end=request.end,
            km=km,
            sd_share=KNOWN[known],
            known=known,
        )
        return event.pk


def _put_right(request: DistanceRequest, rows: QuerySet[Distance]) -> Distance | None:
    """The distance that is put right: one of this bike or trainer that still counts."""
    if request.corrects is None:
        return None
    old = rows.select_related("event").filter(pk=request.corrects).first()
    if old is None:
        raise NotFound(
            worded(
                "There is no distance {corrects} here that still counts. Choose one of the list.",
                corrects=request.corrects,
            )
        )
    return old


def _km(request: DistanceRequest, most: float) -> float:
    """The distance itself, or that of a usual week over the weeks of the stretch."""
    if (request.distance_km is None) == (request.km_a_week is None):
        sentence = worded("A distance is so much in all, or so much a week: give one of both.")
        raise InputRefused(sentence, {"distance_km": sentence})
    if request.km_a_week is None:
        return number(request.distance_km or 0.0, "distance_km", worded("The distance"), 0, most, "km")
    a_week = number(request.km_a_week, "km_a_week", worded("The distance in a usual week"), 0, 1500, "km")
    weeks = (request.end - request.start).days / 7
    return number(a_week * weeks, "km_a_week", worded("The distance of all these weeks"), 0, most, "km")
