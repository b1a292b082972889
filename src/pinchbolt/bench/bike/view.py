"""The bike page, by its tag."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from pinchbolt.bench.bike.places import at_places, spots
from pinchbolt.bench.shared import now, screen
from pinchbolt.drawing import bike_drawing
from pinchbolt.workshop.bike_sheet import bike_sheet
from pinchbolt.workshop.build_view import build_seen
from pinchbolt.workshop.ridden import drop_asks
from pinchbolt.workshop.state import Where

_NEWEST = 20


@require_safe
def bike(request: HttpRequest, tag: str) -> HttpResponse:
    """Drawing, build sheet, facts and history."""
    whole = "all" in request.GET
    seen = bike_sheet(tag, now(), 2000 if whole else _NEWEST)
    places = at_places(seen.parts)
    kinds = frozenset(part.kind for part in seen.parts)
    context = {
        "title": f"{seen.tag} {seen.owner}",
        "bike": seen,
        "places": places,
        "shown": {str(part.id): part for part in build_seen(tag).parts},
        # Drawn twice: with labels to tap for a tablet, bare with its marks for a phone. The drawings escape their words.
        "wide": mark_safe(bike_drawing(seen.kind, kinds, spots(places), labelled=True)),
        "narrow": mark_safe(bike_drawing(seen.kind, kinds, spots(places))),
        "is_cut": not whole and len(seen.history) == _NEWEST,
        "ridden": drop_asks(tag),
        "here": next((job for job in seen.jobs if job.state.where is not Where.GONE), None),
        "gone": [job for job in seen.jobs if job.state.where is Where.GONE],
    }
    return screen(request, "bike/bike.html", context)


@require_safe
def by_hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """The address in the QR of a hang tag, whatever the case."""
    return redirect("bike", tag=tag.upper()[:20])
