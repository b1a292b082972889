"""A bike's ride files: taken in, rides that need a bike, weeks, and one part's use over time."""

from collections.abc import Iterator, Sequence, ValuesView
from dataclasses import dataclass
from typing import IO

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.rides.rides_form import BackForm, FilesForm, PlaceForm, SaidForm, SinceForm
from pinchbolt.bench.rides.things_form import (
    DisplayForm,
    OwnBikeForm,
    OwnTrainerForm,
    OwnWheelsForm,
    WheelsOnForm,
)
from pinchbolt.bench.shared import now, screen
from pinchbolt.drawing import FittedTo, ReadOn, UsedBy, use_line, week_bars
from pinchbolt.reference.rows.build import Template
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.move_part import move_part
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.displays import note_display
from pinchbolt.workshop.rides.note_distance import KNOWN, note_distance
from pinchbolt.workshop.rides.on_since import say_since
from pinchbolt.workshop.rides.owners_things import add_own_bike, add_own_trainer, add_own_wheels
from pinchbolt.workshop.rides.part_over_time import PartUsed, part_used
from pinchbolt.workshop.rides.place_rides import place_rides, take_back_rides
from pinchbolt.workshop.rides.ridden import BikeRidden, bike_ridden
from pinchbolt.workshop.rides.ride_files import files_sent, read_files
from pinchbolt.workshop.rides.ride_report import RidesTaken
from pinchbolt.workshop.rides.take_in_rides import digest_of, take_in_rides

_WIDE, _NARROW = 640.0, 330.0
_DONE = {
    "placed": worded("The rides are placed, and every part's use follows."),
    "back": worded("The rides are taken back. Their files may come in again."),
    "since": worded("Since when it is on is written down, and its use follows."),
    "said": worded("The distance is written down, and every part's use follows."),
    "bike": worded("The bike is written down. Rides can be placed on it from now on."),
    "trainer": worded(
        "The trainer is written down. Rides on it turn chain and cranks, and nothing of wheels and brakes."
    ),
    "wheels": worded("The wheels are written down, and hang on the wall."),
    "wheels-on": worded("The wheels are changed, and every part's use follows."),
    "shown": worded("What the display shows is written down, and every part's use follows."),
}


@require_safe
def rides(request: HttpRequest, tag: str) -> HttpResponse:
    """Everything that ride files say of a bike."""
    return _page(request, tag)


@acts(FilesForm, lambda request, form, tag: _page(request, tag, form))
def files(act: SentAct[FilesForm], tag: str) -> HttpResponse:
    """Take ride files in and say of each what became of it."""
    seen = list(read_files(files_sent(_sent(act.request))))
    taken = take_in_rides(act.form.asked(tag, digest_of(seen)), seen, **act.mark)
    return _page(act.request, tag, taken=taken)


@acts(PlaceForm, lambda request, form, tag: _page(request, tag, form))
def place(act: SentAct[PlaceForm], tag: str) -> HttpResponse:
    """Say which bike rides were on."""
    place_rides(act.form.asked(), **act.mark)
    return see("rides", tag=tag, query={"done": "placed"}, at="rides")


@acts(BackForm, lambda request, form, tag: _page(request, tag, form))
def back(act: SentAct[BackForm], tag: str) -> HttpResponse:
    """Take rides back that should not have come in."""
    take_back_rides(act.form.asked(), **act.mark)
    return see("rides", tag=tag, query={"done": "back"}, at="rides")


@acts(SinceForm, lambda request, form, tag: _page(request, tag, form))
def since(act: SentAct[SinceForm], tag: str) -> HttpResponse:
    """Say since when a part is on the bike, as its owner says."""
    asked = act.form.asked(tag)
    say_since(asked, **act.mark)
    return see("rides", tag=tag, query={"done": "since", "part": asked.part or ""}, at="use")


@acts(SaidForm, lambda request, form, tag: _page(request, tag, form))
def said(act: SentAct[SaidForm], tag: str) -> HttpResponse:
    """Write down what somebody says that the bike went."""
    note_distance(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "said"}, at="said")


@acts(OwnBikeForm, lambda request, form, tag: _page(request, tag, form))
def own_bike(act: SentAct[OwnBikeForm], tag: str) -> HttpResponse:
    """Write down a further bike of this owner."""
    add_own_bike(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "bike"}, at="things")


@acts(OwnTrainerForm, lambda request, form, tag: _page(request, tag, form))
def own_trainer(act: SentAct[OwnTrainerForm], tag: str) -> HttpResponse:
    """Write down an indoor trainer of this owner."""
    add_own_trainer(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "trainer"}, at="things")


@acts(OwnWheelsForm, lambda request, form, tag: _page(request, tag, form))
def own_wheels(act: SentAct[OwnWheelsForm], tag: str) -> HttpResponse:
    """Write down a second set of wheels, which hangs on the wall."""
    add_own_wheels(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "wheels"}, at="things")


@acts(WheelsOnForm, lambda request, form, tag: _page(request, tag, form))
def wheels_on(act: SentAct[WheelsOnForm], tag: str) -> HttpResponse:
    """Put wheels from the wall on the bike, and the bike's on the wall."""
    move_part(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "wheels-on"}, at="things")


@acts(DisplayForm, lambda request, form, tag: _page(request, tag, form))
def display(act: SentAct[DisplayForm], tag: str) -> HttpResponse:
    """Write down what the bike's display shows."""
    note_display(act.form.asked(tag), **act.mark)
    return see("rides", tag=tag, query={"done": "shown"}, at="shown")


def _sent(request: HttpRequest) -> Iterator[tuple[str, IO[bytes], bool]]:
    """Files chosen by themselves, then those of a folder, of which only ride files are looked at."""
    for field, alone in (("files", True), ("folder", False)):
        for one in request.FILES.getlist(field):
            if one.file is not None:
                yield one.name or worded("a file without a name"), one.file, alone


@dataclass(frozen=True, slots=True)
class RidesPage(Page):
    """What is shown: a bike's rides."""

    title: str
    bike: BikeRidden
    taken: RidesTaken | None
    files_form: FilesForm
    said_form: SaidForm
    display_form: DisplayForm
    thing_form: BenchForm | None
    templates: ValuesView[Template]
    known: Sequence[str]
    done: str
    weeks: tuple[SafeString, ...]
    used: PartUsed | None
    use: tuple[SafeString, ...] | str


def _page(
    request: HttpRequest, tag: str, form: BenchForm | None = None, taken: RidesTaken | None = None
) -> HttpResponse:
    when = now()
    seen = bike_ridden(tag, when)
    part = request.GET.get("part", "")
    used = part_used(tag, int(part), when) if part.isascii() and part.isdigit() and len(part) < 10 else None
    page = RidesPage(
        title=worded("rides of {tag}", tag=seen.tag),
        bike=seen,
        taken=taken,
        files_form=own_form(form, FilesForm),
        said_form=own_form(form, SaidForm),
        display_form=own_form(form, DisplayForm),
        thing_form=form
        if isinstance(form, OwnBikeForm | OwnTrainerForm | OwnWheelsForm | WheelsOnForm)
        else None,
        templates=tables().templates.values(),
        known=[word for word in KNOWN if word != "a usual week"],
        done=_DONE.get(request.GET.get("done", ""), ""),
        weeks=_weeks(seen),
        used=used,
        use=_use(used) if used is not None else "",
    )
    return screen(request, "rides/rides.html", page, form)


def _weeks(seen: BikeRidden) -> tuple[SafeString, ...]:
    """The weeks, once for a tablet and once for a phone with its last year only. Drawings escape their words."""
    weeks = [(week.start, week.km, week.indoor_km) for week in seen.weeks]
    if not weeks:
        return ()
    title = worded("weeks of {tag}", tag=seen.tag)
    usual = [share * seen.usual_week_km for share in seen.season]
    narrow = worded("{title}, narrow", title=title)
    return (
        mark_safe(week_bars(weeks, title=title, usual=usual, width=_WIDE, size=15.0)),
        mark_safe(week_bars(weeks[-52:], title=narrow, usual=usual, width=_NARROW, size=13.0)),
    )


def _use(used: PartUsed) -> tuple[SafeString, ...]:
    """One part's use line, once for a tablet and once for a phone."""
    points = [UsedBy(one.day, one.km, one.km_sd) for one in used.points]
    fitted = [FittedTo(one.words, one.start, one.end) for one in used.stays]
    read = [ReadOn(one.day, one.km, one.words) for one in used.readings]
    title = worded("use of the {words}", words=used.words)
    return (
        mark_safe(use_line(points, fitted, read, title=title, width=_WIDE, size=15.0)),
        mark_safe(
            use_line(
                points, fitted, read, title=worded("{title}, narrow", title=title), width=_NARROW, size=13.0
            )
        ),
    )
