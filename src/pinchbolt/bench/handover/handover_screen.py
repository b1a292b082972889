"""The handover screen."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.handover.handover_form import HandOverForm
from pinchbolt.bench.job_page import back_to, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.leaving.call_back import call_back_for
from pinchbolt.workshop.leaving.hand_over import hand_over, handed_over
from pinchbolt.workshop.leaving.sign_off import sign_off_list, signed_by
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.price import estimate


@require_GET
def handover(request: HttpRequest, job: int) -> HttpResponse:
    """Show what leaves with the bike."""
    return _page(request, job, now())


@require_POST
def leave(request: HttpRequest, job: int) -> HttpResponse:
    """Hand the bike over."""
    when, form = now(), HandOverForm(request.POST)
    job_by_id(job)
    with form.refusable():
        hand_over(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "handover", at="gone")
    return _page(request, job, when, form)


def _page(request: HttpRequest, job: int, when: datetime, form: HandOverForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    state, seen, priced = job_state(found), sign_off_list(found, when), estimate(found)
    ended = handed_over(found)
    context = {
        "state": state,
        "card": job_card(found),
        "priced": priced,
        "currency": priced.priced.currency,
        "declined": [line for line in priced.lines if line.answer == "declined"],
        "declined_safety": seen.declined_safety,
        "stops": seen.stops,
        "signed_by": signed_by(found),
        "ended": ended,
        "back": ended.call_back if ended else call_back_for(found.bike, when),
        "leave_form": form or HandOverForm(),
        "left_with": found.left_with,
    }
    return job_screen(request, job, "handover", when, "handover/handover.html", context, form)
