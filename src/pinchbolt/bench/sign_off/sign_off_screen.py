"""The sign-off screen."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.job_page import back_to, grouped, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.sign_off.sign_off_form import ReopenForm, SafetyLookForm
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.bikes.corners import corners_to_confirm
from pinchbolt.workshop.leaving.sign_off import (
    SignOffRequest,
    SignOffView,
    look_at_item,
    reopen,
    sign_off_list,
    signed_by,
)
from pinchbolt.workshop.leaving.sign_off import sign_off as sign_it_off


@require_GET
def sign_off(request: HttpRequest, job: int) -> HttpResponse:
    """Show the list."""
    return _page(request, job, now())


@require_POST
def looked(request: HttpRequest, job: int) -> HttpResponse:
    """Write down that items were looked at."""
    when, form = now(), SafetyLookForm(request.POST)
    job_by_id(job)
    with form.refusable():
        look_at_item(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "sign-off", at="stops")
    return _page(request, job, when, form)


@require_POST
def sign(request: HttpRequest, job: int) -> HttpResponse:
    """State that the list is met."""
    when, form = now(), BenchForm(request.POST)
    job_by_id(job)
    with form.refusable():
        sign_it_off(SignOffRequest(job), by=by(request), key=form.key, now=when)
        return back_to(job, "handover")
    return _page(request, job, when, form)


@require_POST
def as_shown(request: HttpRequest, job: int) -> HttpResponse:
    """Write down that the whole bike is as the build sheet shows it."""
    when, form = now(), BenchForm(request.POST)
    tag = job_by_id(job).bike.tag
    with form.refusable():
        confirm_corner(ConfirmRequest(tag), by=by(request), key=form.key, now=when)
        return back_to(job, "sign-off", at="stops")
    return _page(request, job, when, form)


@require_POST
def open_again(request: HttpRequest, job: int) -> HttpResponse:
    """Open a signed-off job again."""
    when, form = now(), ReopenForm(request.POST)
    job_by_id(job)
    with form.refusable():
        reopen(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "sign-off", at="stops")
    return _page(request, job, when, form)


def stops_in_short(seen: SignOffView) -> tuple[str, ...]:
    """Return what stands open, the items that nobody has looked at yet counted and not told twice on one page."""
    first = [item.missing for item in seen.items if not item.met_by and not item.not_met_words]
    second = [
        item.missing for item in seen.items if item.met_by and item.missing.endswith("no second look yet.")
    ]
    told = [stop for stop in seen.stops if stop not in first and stop not in second]
    if first:
        told.append(f"{_items(first)} of the list not looked at yet.")
    if second:
        told.append(f"{_items(second)} without a second look.")
    return tuple(told)


def _items(found: list[str]) -> str:
    return f"{len(found)} item" if len(found) == 1 else f"{len(found)} items"


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    seen, state = sign_off_list(found, when), job_state(found)
    name = getattr(request.user, "name", "")
    first = [item for item in seen.items if not item.met_by]
    second = [item for item in seen.items if item.met_by and item.needs_second and not item.second_by]
    met = [item for item in seen.items if item not in first and item not in second]
    look_form = form if isinstance(form, SafetyLookForm) else SafetyLookForm()
    context = {
        "seen": seen,
        "stops": stops_in_short(seen),
        "state": state,
        "first": first,
        "first_groups": grouped(sorted(first, key=lambda item: item.if_not != Verdict.UNSAFE), "if_not"),
        "second_mine": [item for item in second if item.met_by == name],
        "second_others": [item for item in second if item.met_by != name],
        "met": met,
        "ticked": look_form.items,
        "look_form": look_form,
        "is_second": bool(look_form.data.get("second")),
        "reopen_form": form if isinstance(form, ReopenForm) else ReopenForm(),
        "signed_by": signed_by(found) if state.signed_off else "",
        "is_open": not state.signed_off,
        "unseen": () if state.signed_off else corners_to_confirm(found.bike),
    }
    return job_screen(request, job, "sign-off", when, "sign_off/sign_off.html", context, form)
