"""The bike page, by its tag."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.bike.places import at_places, spots
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.drawing import bike_drawing
from pinchbolt.workshop.acts.state import Where
from pinchbolt.workshop.bikes.build_view import build_view_of
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.bikes.drawn_bike import shape_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.rides.ridden import drop_asks

_NEWEST = 20


@require_safe
def bike(request: HttpRequest, tag: str) -> HttpResponse:
    """Drawing, build sheet, facts and history."""
    return _page(request, tag)


@require_POST
def as_shown(request: HttpRequest, tag: str) -> HttpResponse:
    """Write down that the whole bike is as its build sheet shows it."""
    form = BenchForm(request.POST)
    with form.refusable():
        confirm_corner(ConfirmRequest(tag), by=by(request), key=form.key, now=now())
        answer = HttpResponseRedirect(f"{reverse('bike', args=[tag])}#sheet")
        answer.status_code = 303
        return answer
    return _page(request, tag, form)


def _page(request: HttpRequest, tag: str, form: BenchForm | None = None) -> HttpResponse:
    whole = "all" in request.GET
    seen = bike_sheet(tag, now(), 2000 if whole else _NEWEST)
    places = at_places(seen.parts)
    shape = shape_of(seen.kind)
    context = {
        "title": f"{seen.tag} {seen.owner}",
        "bike": seen,
        "places": places,
        "shown": {str(part.id): part for part in build_view_of(tag).parts},
        # Drawn twice: with labels to tap for a tablet, bare with its marks for a phone. The drawings escape their words.
        "wide": mark_safe(bike_drawing(shape, seen.pieces, spots(places), labelled=True)),
        "narrow": mark_safe(bike_drawing(shape, seen.pieces, spots(places))),
        "unseen_words": [tables().corners[one].words for one in seen.unseen]
        if len(seen.unseen) < len(tables().corners)
        else [],
        "is_cut": not whole and len(seen.history) == _NEWEST,
        "ridden": drop_asks(tag),
        "here": next((job for job in seen.jobs if job.state.where is not Where.GONE), None),
        "gone": [job for job in seen.jobs if job.state.where is Where.GONE],
    }
    return screen(request, "bike/bike.html", context, form)


@require_safe
def by_hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """The address in the QR of a hang tag, whatever the case."""
    return redirect("bike", tag=tag.upper()[:20])
