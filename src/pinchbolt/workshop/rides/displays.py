"""What a bike's own display shows: its odometer, motor hours, charge cycles of its battery. Two odometer days are a distance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from django.db.models import QuerySet

from pinchbolt.engines.use import Stretch
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import A_DAY, DISPLAYED, Bike, Display, Event, Fitting
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.common.checks import not_in_future, number

UNITS = {"odometer": "km", "motor hours": "h", "charge cycles": "cycles"}
_MOST = {"odometer": 300_000.0, "motor hours": 30_000.0, "charge cycles": 10_000.0}
_ODOMETER_SD = 0.03  # common practice, no source: a wheel's circumference set wrong


@dataclass(frozen=True, slots=True)
class DisplayRequest:
    """What the display of a bike showed on a day: `what` is odometer (km), motor hours (h) or charge cycles.

    `corrects` names the entry (its event) that this one puts right.
    """

    tag: str
    what: str
    value: float
    day: date
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class DisplayView:
    """One thing that was read off a display, and what is to be said of it."""

    id: int
    what: str
    value: float
    unit: str
    day: date
    words: str = ""


def note_display(request: DisplayRequest, *, by: int, key: str, now: datetime) -> int:
    """Write down what a display showed; returns its event.

    Raises:
        InputRefused: A day ahead, a value out of sense, or a thing that no display shows.
        NotFound: No such bike, or no such entry to put right.
    """
    with act("display read", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return this.done_before.pk
        bike = bike_by_tag(request.tag)
        if request.what not in DISPLAYED:
            sentence = worded(
                '"{what}" is on no display: {displayed}. Choose one.',
                what=request.what[:40],
                displayed=", ".join(DISPLAYED),
            )
            raise InputRefused(sentence, {"what": sentence})
        day = not_in_future(request.day, now, "day", worded("The day"))
        old = None
        if request.corrects is not None:
            old = _current(bike.pk).filter(pk=request.corrects).first()
            if old is None:
                raise NotFound(
                    worded(
                        "There is no entry {corrects} of {tag}'s display that still counts.",
                        corrects=request.corrects,
                        tag=bike.tag,
                    )
                )
        event = this.write(bike=bike, corrects=old.event if old is not None else None)
        write_display(event, bike, request.what, request.value, day)
        return event.pk


def write_display(event: Event, bike: Bike, what: str, value: float, day: date, field: str = "value") -> None:
    """Keep one value of a display as the typed side of its event; *field* is what a refusal names.

    Raises:
        InputRefused: A value out of sense.
    """
    number(value, field, worded("The {what}", what=what), 0, _MOST[what], UNITS[what])
    Display.objects.create(event=event, bike=bike, what=what, value=value, day=day)


def _current(bike: int) -> QuerySet[Display]:
    rows = Display.objects.filter(bike=bike, event__corrected_by__isnull=True)
    return rows.select_related("event").order_by("day", "pk")


def displays_of(bike: Bike) -> tuple[DisplayView, ...]:
    """Return what a bike's display showed, the newest first; a value that went back, or speaks for no span yet, says so."""
    rows = list(_current(bike.pk))
    born = _born(bike.pk)
    found, before = [], dict[str, Display]()
    for row in rows:
        last = before.get(row.what)
        before[row.what] = row
        words = ""
        if last is not None and row.value < last.value:
            words = worded(
                "less than on {day:%d %b %Y}: set back, or another display; it counts again from here",
                day=last.day,
            )
        elif last is None and row.what == "odometer" and row.value > 0 and (born is None or born >= row.day):
            words = worded(
                "counts from here on; say since when the bike is new, and what it went before counts too"
            )
        found.append(DisplayView(row.pk, row.what, row.value, UNITS[row.what], row.day, words))
    return tuple(reversed(found))


@once_a_look
def by_odometer(bike: int) -> tuple[Stretch, ...]:
    """Return the distances between the days on which the odometer was read, from when the bike was new where that is known."""
    shown = _shown(bike, "odometer")
    # Nearly no bike has one: then nothing more is looked up.
    return odometer_stretches(shown, _born(bike), f"bike {bike}") if shown else ()


@once_a_look
def by_motor(bike: int) -> tuple[Stretch, ...]:
    """Return the hours between the days on which the motor's own hours were read, as stretches of hours in place of kilometres. [h]"""
    shown = _shown(bike, "motor hours")
    return odometer_stretches(shown, _born(bike), f"bike {bike}") if shown else ()


@prepared
def _shown(bike: int, what: str) -> QuerySet[Display, tuple[date, float]]:
    return _current(bike).filter(what=what).values_list("day", "value")


def odometer_stretches(
    shown: Sequence[tuple[date, float]], born: date | None, host: str
) -> tuple[Stretch, ...]:
    """Return the stretches between days on which an odometer was read; one that went back begins anew. [km, day]"""
    last_of_day = dict(shown)
    days = sorted(last_of_day.items())
    if days and born is not None and born < days[0][0]:
        days = [(born, 0.0), *days]
    return tuple(
        Stretch(host, start, end, after - before, _ODOMETER_SD, "odometer", shared=True)
        for (start, before), (end, after) in pairwise(days)
        if after >= before
    )


def _born(bike: int) -> date | None:
    """The day on which a bike was new: since when its frame is there, where somebody knows."""
    for fitting in Fitting.objects.filter(bike=bike).select_related("part").order_by("start", "pk"):
        if kind_row(fitting.part.kind).on_every_bike and (fitting.start_known or fitting.since_said == A_DAY):
            return fitting.start
    return None
