"""The tablet turned round: each finding in one sentence, with its price."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.stays.at_the_counter import CounterView, at_the_counter


@dataclass(frozen=True, slots=True)
class CounterPage(Page):
    """What is shown: the tablet turned round to the owner."""

    seen: CounterView


@require_safe
def counter(request: HttpRequest, job: int) -> HttpResponse:
    """Show what is said to the owner."""
    when = now()
    return job_screen(
        request,
        job,
        "findings",
        when,
        "counter/counter.html",
        CounterPage(
            seen=at_the_counter(job_by_id(job), when),
        ),
    )
