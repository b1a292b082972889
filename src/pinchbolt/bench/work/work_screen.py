"""The job card."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.job_page import back_to, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.work.work_form import AsideForm, LineDoneForm, StandForm
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.shop_day import shop_day
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.start_work import (
    ArrivedRequest,
    LineDoneRequest,
    finish_line,
    part_arrived,
    put_on_stand,
    set_aside,
    start_work,
)
from pinchbolt.workshop.torque.torque_sheet import sheet_with_order


@require_GET
def work(request: HttpRequest, job: int) -> HttpResponse:
    """Show the job card."""
    return _page(request, job, now())


@require_POST
def on_stand(request: HttpRequest, job: int) -> HttpResponse:
    """Put the bike on a stand; starts the work where it is agreed and was asked for."""
    when, form = now(), StandForm(request.POST)
    job_by_id(job)
    with form.refusable():
        put = start_work if request.POST.get("start") else put_on_stand
        put(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "work")
    return _page(request, job, when, form)


@require_POST
def aside(request: HttpRequest, job: int) -> HttpResponse:
    """Set the bike aside to wait."""
    when, form = now(), AsideForm(request.POST)
    job_by_id(job)
    with form.refusable():
        set_aside(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "work")
    return _page(request, job, when, form)


@require_POST
def arrived(request: HttpRequest, job: int) -> HttpResponse:
    """The part is here."""
    when, form = now(), BenchForm(request.POST)
    job_by_id(job)
    with form.refusable():
        part_arrived(ArrivedRequest(job), by=by(request), key=form.key, now=when)
        return back_to(job, "work")
    return _page(request, job, when, form)


@require_POST
def line_done(request: HttpRequest, job: int) -> HttpResponse:
    """An agreed line was done."""
    when, form = now(), LineDoneForm(request.POST)
    job_by_id(job)
    with form.refusable():
        line = form.checked()["line"] or 0
        finish_line(LineDoneRequest(job, line), by=by(request), key=form.key, now=when)
        return back_to(job, "work", at=f"line-{line}")
    return _page(request, job, when, form)


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    state, card = job_state(found), job_card(found)
    told = sheet_with_order(found, local_day(when))
    sheet = told.joints
    seen = estimate(found)
    undone_joints = [joint for joint in sheet if joint.done is None or not joint.done.holds]
    # Of a joint that can throw the rider it must be known whether the work opened it.
    to_find_out = [one for one in told.open if one.critical == "A"]
    undone_lines = [line for line in card.lines if not line.done_by]
    context = {
        "card": card,
        "cautions": cautions(found.bike),
        "state": state,
        "sheet": sheet,
        "undone_joints": undone_joints,
        "undone_lines": undone_lines,
        "to_find_out": to_find_out,
        "unanswered": seen.open_answers,
        "all_done": state.started and not (undone_lines or undone_joints or to_find_out),
        "stands": shop_day(when).stands,
        "may_start": bool(card.lines) and not state.started and not seen.open_answers,
        "on_stand": state.where is Where.STAND,
        "waits_for_part": state.where is Where.PART,
        "is_open": not state.signed_off and state.where is not Where.GONE,
        "aside_form": form if isinstance(form, AsideForm) else AsideForm(),
        "aside_refused": isinstance(form, AsideForm),
    }
    return job_screen(request, job, "work", when, "work/work.html", context, form)
