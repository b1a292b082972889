"""The torque sheet: one joint at a time, in working order."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.found_out_form import FoundOutForm
from pinchbolt.bench.job_page import back_to, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.torque_sheet.torque_sheet_form import TARGET, BoltForm, DoneForm, JointForm, MarkingForm
from pinchbolt.errors import NotFound
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.bikes.cautions import marking_wins
from pinchbolt.workshop.bikes.change_build import describe
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.job_card import joints_to_add
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque import torque_sheet as use_case
from pinchbolt.workshop.torque.bolt_read import preparations, property_classes, read_bolt
from pinchbolt.workshop.torque.read_marking import read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, JointView, add_joint

STEP = "work/torque"


@require_GET
def torque_sheet(request: HttpRequest, job: int) -> HttpResponse:
    """Go to the first joint without a done value inside its window; with an empty sheet, show what can be put on it."""
    sheet = use_case.torque_sheet(job_by_id(job), local_day(now()))
    following = next((joint for joint in sheet if _is_open(joint)), sheet[0] if sheet else None)
    if following is not None:
        return HttpResponseRedirect(f"/job/{job}/{STEP}/{following.joint}/")
    return _page(request, job, "", now())


@require_GET
def joint(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Show one joint."""
    return _page(request, job, joint, now())


@require_POST
def done(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Write a done value down and go to the next open joint."""
    when, form = now(), DoneForm(request.POST)
    found = job_by_id(job)
    with form.refusable():
        record_done(form.asked(job, joint), by=by(request), key=form.key, now=when)
        return back_to(
            job, f"{STEP}/{_next_open(use_case.torque_sheet(found, local_day(when)), joint)}", at="joint"
        )
    return _page(request, job, joint, when, form)


@require_POST
def by_hand(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Write down that a joint too small for any torque tool was done by hand."""
    when, form = now(), BenchForm(request.POST)
    found = job_by_id(job)
    with form.refusable():
        tighten_by_hand(DoneByHandRequest(job, joint), by=by(request), key=form.key, now=when)
        return back_to(
            job, f"{STEP}/{_next_open(use_case.torque_sheet(found, local_day(when)), joint)}", at="joint"
        )
    return _page(request, job, joint, when, form)


@require_POST
def marking(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Write a marking down: the window and the setting follow it at once."""
    when, form = now(), MarkingForm(request.POST)
    tag = job_by_id(job).bike.tag
    with form.refusable():
        read_marking(form.asked(tag, joint), by=by(request), key=form.key, now=when)
        return back_to(job, f"{STEP}/{joint}", at="joint")
    return _page(request, job, joint, when, form)


@require_POST
def bolt(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Write down what was read on the joint's bolt: what the torque buys follows it at once."""
    when, form = now(), BoltForm(request.POST)
    tag = job_by_id(job).bike.tag
    with form.refusable():
        read_bolt(form.asked(tag, joint), by=by(request), key=form.key, now=when)
        return back_to(job, f"{STEP}/{joint}", at="joint")
    return _page(request, job, joint, when, form)


@require_POST
def add(request: HttpRequest, job: int) -> HttpResponse:
    """Put a joint on the sheet."""
    when, form = now(), JointForm(request.POST)
    job_by_id(job)
    with form.refusable():
        wanted = form.checked()["joint"]
        add_joint(AddJointRequest(job, wanted), by=by(request), key=form.key, now=when)
        return back_to(job, f"{STEP}/{wanted}", at="joint")
    return _page(request, job, "", when, form)


@require_POST
def told(request: HttpRequest, job: int) -> HttpResponse:
    """Write down what was read off a part: the joints that it decides about are on the sheet at once, or known not to be."""
    when, form = now(), FoundOutForm(request.POST)
    job_by_id(job)
    with form.refusable():
        describe(form.asked(), by=by(request), key=form.key, now=when)
        return back_to(job, STEP)
    return _page(request, job, "", when, form)


def _is_open(joint: JointView) -> bool:
    return joint.done is None or not joint.done.holds


def _next_open(sheet: tuple[JointView, ...], after: str) -> str:
    """Return the next open joint after one, round the sheet; the same where none is open."""
    names = [one.joint for one in sheet]
    start = names.index(after) if after in names else 0
    return next((one.joint for one in (*sheet[start:], *sheet[:start]) if _is_open(one)), after)


def _page(
    request: HttpRequest, job: int, name: str, when: datetime, form: BenchForm | None = None
) -> HttpResponse:
    found = job_by_id(job)
    told = use_case.sheet_with_order(found, local_day(when))
    sheet = told.joints
    here = next((one for one in sheet if one.joint == name), None)
    if name and here is None:
        raise NotFound(
            "This joint is not on the torque sheet of this job. Choose one from the sheet, or put it there."
        )
    order = [one.joint for one in sheet]
    place = order.index(name) if name else 0
    state = job_state(found)
    is_open = not state.signed_off and state.where is not Where.GONE
    done_form = form if isinstance(form, DoneForm) else DoneForm()
    context = {
        "sheet": [(one, _is_open(one)) for one in sheet],
        "here": here,
        "number": place + 1,
        "order": told.order,
        "open_questions": told.open if is_open else (),
        "count": len(sheet),
        "open_count": sum(1 for one in sheet if _is_open(one)),
        "following": sheet[(place + 1) % len(sheet)] if len(sheet) > 1 else None,
        "tools": torque_tools(),
        "chosen_tool": done_form.data.get("tool") or (here.setting.tool if here and here.setting else ""),
        "done_form": done_form,
        "done_said": said_of(done_form, "done_n_m"),
        "marking_said": said_of(form, "greatest_n_m") if isinstance(form, MarkingForm) else "",
        "asks_sure": isinstance(form, DoneForm) and asks_sure(form),
        "marking_form": form if isinstance(form, MarkingForm) else MarkingForm(),
        "marking_refused": isinstance(form, MarkingForm),
        "marking_means": "" if form is None else form.data.get("means", ""),
        "target": TARGET,
        "by_table": bool(here and here.window and here.window.cap_by.kind != "marking"),
        "marking_wins": marking_wins(),
        "bolt_refused": isinstance(form, BoltForm),
        "preparations": preparations(),
        "property_classes": property_classes(),
        "to_add": joints_to_add(found, order),
        "started": state.started,
        "is_open": is_open,
    }
    return job_screen(request, job, "work", when, "torque_sheet/torque_sheet.html", context, form)


def said_of(form: BenchForm, field: str) -> str:
    """Return what was said of one field of a refused form."""
    return str(next(iter(form.errors.get(field, ())), "")) if form.refusal is not None else ""


def asks_sure(form: BenchForm) -> bool:
    """Whether the refusal is the question that a value out of its window brings, and no slip of the keypad."""
    return form.refusal is not None and "say so once more" in form.refusal.sentence
