"""The handover screen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.handover.handover_form import HandOverForm
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import JobState, job_state
from pinchbolt.workshop.leaving.call_back import CallBack, back_of
from pinchbolt.workshop.leaving.hand_over import (
    KNOWN_BY,
    CollectorView,
    HandedOver,
    collector_of,
    hand_over,
    handed_over,
)
from pinchbolt.workshop.leaving.sign_off import sign_off_list, signed_by
from pinchbolt.workshop.stays.job_card import JobCard, job_card
from pinchbolt.workshop.stays.payments import PAID_BY
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate


@require_GET
def handover(request: HttpRequest, job: int) -> HttpResponse:
    """Show what leaves with the bike."""
    return _page(request, job, now())


@acts(HandOverForm, lambda request, form, job: _page(request, job, now(), form))
def leave(act: SentAct[HandOverForm], job: int) -> HttpResponse:
    """Hand the bike over."""
    hand_over(act.form.asked(job), **act.mark)
    return back_to("handover", job=job, at="gone")


@dataclass(frozen=True, slots=True)
class HandoverPage(Page):
    """What is shown: the handover."""

    state: JobState
    card: JobCard
    priced: EstimateView
    currency: str
    declined: Sequence[LineView]
    declined_safety: tuple[str, ...]
    left_unseen: tuple[str, ...]
    stops: tuple[str, ...]
    signed_by: str
    ended: HandedOver | None
    back: CallBack | None
    leave_form: HandOverForm
    left_with: str
    paid_by: tuple[str, ...]
    paid: str
    collector: CollectorView | None
    known_by: tuple[str, ...]
    known: str


def _page(request: HttpRequest, job: int, when: datetime, form: HandOverForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    state, seen, priced = job_state(found), sign_off_list(found, when), estimate(found)
    ended, collector = handed_over(found), collector_of(found)
    page = HandoverPage(
        state=state,
        card=job_card(found),
        priced=priced,
        currency=priced.priced.currency,
        declined=[line for line in priced.lines if line.answer == "declined"],
        declined_safety=seen.declined_safety,
        left_unseen=seen.left_unseen,
        stops=seen.stops,
        signed_by=signed_by(found),
        ended=ended,
        back=ended.call_back if ended else back_of(found, when),
        leave_form=form or HandOverForm(initial={"taken_by": collector.name if collector else ""}),
        left_with=found.left_with,
        paid_by=PAID_BY,
        paid=str(form.data.get("paid") or "not yet") if form else "not yet",
        collector=collector,
        known_by=KNOWN_BY,
        known=str(form.data.get("how_known", "")) if form else collector.how_known if collector else "",
    )
    return job_screen(request, job, "handover", when, "handover/handover.html", page, form)
