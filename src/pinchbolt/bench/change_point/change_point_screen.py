"""The ways of changing a chain, compared at this bike's prices and use."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.values import Interval
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.wear.change_point import ChangePoint
from pinchbolt.workshop.wear.change_point_of_bike import change_point_of


@dataclass(frozen=True, slots=True)
class ChangePointPage(Page):
    """What is shown: the ways of changing a chain."""

    found: ChangePoint
    best: Interval
    currency: str


@require_safe
def change_point(request: HttpRequest, job: int) -> HttpResponse:
    """Show what each way costs per 1,000 km."""
    when = now()
    found = change_point_of(job_by_id(job).bike.tag, local_day(when))
    page = ChangePointPage(
        found=found,
        best=found.table.best_at_percent,
        currency=terms().currency,
    )
    return job_screen(request, job, "findings", when, "change_point/change_point.html", page)
