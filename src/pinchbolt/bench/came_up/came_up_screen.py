"""The page of what came up, each short form behind it, and taking an act back."""

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_http_methods

from pinchbolt.bench.act import ActMark, SentAct, acts
from pinchbolt.bench.addresses import address, back_to
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.came_up.came_up_doors import DOORS, WayDoor
from pinchbolt.bench.came_up.came_up_form import CameUpForm
from pinchbolt.bench.fields import Whole
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.way import job_href
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.came_up.came_up_page import CameUpView
from pinchbolt.workshop.came_up.came_up_page import came_up as what_came_up
from pinchbolt.workshop.came_up.not_collected import StepView, steps_of
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.stays.hand_on import NoteReadRequest, read_note

# Lines that lead to a page which is there already.
_ELSEWHERE = {"changed-mind": "estimate", "parts": "job_parts", "photos": "photos", "deposit": "job_money"}


@dataclass(frozen=True, slots=True)
class WayLink:
    """A line of the page with where it leads."""

    words: str
    now: str
    why_not: str
    href: str


@dataclass(frozen=True, slots=True)
class CameUpPage(Page):
    """What is shown: acts of today with undo, and the ways out by group."""

    seen: CameUpView
    groups: tuple[tuple[str, tuple[WayLink, ...]], ...]


@require_GET
def came_up(request: HttpRequest, job: int) -> HttpResponse:
    """What may come up with a job."""
    return _page(request, job, now())


class UndoActForm(BenchForm):
    """The act that is taken back, and the step that was open."""

    event = Whole(worded("The act"), "numbers")


@acts(UndoActForm, lambda request, form, job: _page(request, job, now(), form))
def undo(act: SentAct[UndoActForm], job: int) -> HttpResponse:
    """Take an act back, and show the page again that was open."""
    undo_act(UndoRequest(job, act.form.checked()["event"] or 0), **act.mark)
    here = str(act.request.POST.get("here", ""))
    answer = back_to("came_up", job=job)
    if here in _STEPS:
        answer["Location"] = job_href(job, here)
    return answer


_STEPS = ("check-in", "walk-round", "findings", "estimate", "work", "sign-off", "handover")


@acts(BenchForm, lambda request, form, job: _page(request, job, now(), form))
def note_read(act: SentAct[BenchForm], job: int) -> HttpResponse:
    """The note of the one before was read."""
    read_note(NoteReadRequest(job), **act.mark)
    return back_to("work", job=job)


@dataclass(frozen=True, slots=True)
class DoorPage(Page):
    """What is shown: one short form."""

    door: WayDoor
    what: str
    steps: tuple[StepView, ...]


@require_http_methods(["GET", "HEAD", "POST"])
def door(request: HttpRequest, job: int, what: str) -> HttpResponse:
    """One way out: its form, and what it does."""
    found = DOORS.get(what)
    if found is None:
        raise NotFound(
            worded('Nothing of the name "{what}" comes up here. Choose a line of the page.', what=what[:20])
        )
    when, sent = now(), request.method == "POST"
    form = found.form(request.POST) if sent else found.form()
    job_by_id(job)
    form.of_job(job, when, by(request))
    if sent:
        with form.refusable():
            return found.do(form, job, ActMark(by=by(request), key=form.key, now=when))
    return _door_page(request, job, what, found, form, when)


def _door_page(
    request: HttpRequest, job: int, what: str, found: WayDoor, form: CameUpForm, when: datetime
) -> HttpResponse:
    steps = steps_of(job_by_id(job), when) if what == "nobody" else ()
    page = DoorPage(door=found, what=what, steps=steps)
    return job_screen(request, job, "", when, "came_up/door.html", page, form)


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    seen = what_came_up(job_by_id(job), when)
    groups = tuple(
        (
            name,
            tuple(WayLink(one.words, one.now, one.why_not, _href(one.name, job)) for one in ways),
        )
        for name, all_ways in seen.groups
        # Of a job that is over only what can still be done is listed.
        if (ways := [one for one in all_ways if not one.job_is_over])
    )
    return job_screen(request, job, "", when, "came_up/came_up.html", CameUpPage(seen, groups), form)


def _href(name: str, job: int) -> str:
    if name in _ELSEWHERE:
        return address(_ELSEWHERE[name], job=job)
    return address("came_up_door", job=job, what=name)
