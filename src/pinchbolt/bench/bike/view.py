"""The bike page, by its tag."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.bike_sheet import bike_sheet


@require_safe
def bike(request: HttpRequest, tag: str) -> HttpResponse:
    """Drawing, build sheet, facts and history."""
    seen = bike_sheet(tag, now())
    return screen(request, "bike/bike.html", {"title": seen.tag, "bike": seen})


@require_safe
def by_hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """The address in the QR of a hang tag, whatever the case."""
    return redirect("bike", tag=tag.upper()[:20])
