"""What the owner said, what was seen and what was promised: the first step of a job."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.way import JobTop, job_and_top
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_view import is_bare
from pinchbolt.workshop.leaving.shop_day import JobView


@dataclass(frozen=True, slots=True)
class JobSheetPage(Page):
    """What is shown: the check-in as it was written down."""

    title: str
    top: JobTop
    seen: JobView
    bare: bool


@require_safe
def job_sheet(request: HttpRequest, job: int) -> HttpResponse:
    """The check-in of a job, as it was written down."""
    _, top = job_and_top(job, "check-in", now())
    return screen(
        request,
        "job_sheet/job_sheet.html",
        JobSheetPage(
            title=worded("{tag} check-in", tag=top.seen.tag),
            top=top,
            seen=top.seen,
            bare=is_bare(top.seen.tag),
        ),
    )
