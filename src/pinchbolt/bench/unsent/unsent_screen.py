"""What waits on this tablet: the page is filled by the tablet itself, since only it knows."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import may_keep, screen
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class UnsentPage(Page):
    """What is shown: the frame of the list."""

    title: str


@require_safe
def unsent(request: HttpRequest) -> HttpResponse:
    """What was done here and is not in the book yet, and why."""
    return may_keep(screen(request, "unsent/unsent.html", UnsentPage(worded("not sent yet"))), request, "box")
