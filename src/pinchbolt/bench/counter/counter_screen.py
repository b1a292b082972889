"""The tablet turned round: each finding in one sentence, with its price."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.shared import now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.stays.at_the_counter import at_the_counter


@require_safe
def counter(request: HttpRequest, job: int) -> HttpResponse:
    """Show what is said to the owner."""
    when = now()
    return job_screen(
        request, job, "findings", when, "counter/counter.html", {"seen": at_the_counter(job_by_id(job), when)}
    )
