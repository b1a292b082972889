"""The bike page, by its tag."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.bike.places import AtPlace, at_places, spots
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.drawing import bike_drawing
from pinchbolt.workshop.bikes.build_view import BuildPartView, build_view_of
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.bikes.drawn_bike import shape_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import BikeView, bike_sheet
from pinchbolt.workshop.leaving.shop_day import JobView
from pinchbolt.workshop.rides.ridden import DropAsks, drop_asks

_NEWEST = 20


@require_safe
def bike(request: HttpRequest, tag: str) -> HttpResponse:
    """Drawing, build sheet, facts and history."""
    return _page(request, tag)


@acts(BenchForm, lambda request, form, tag: _page(request, tag, form))
def as_shown(act: SentAct[BenchForm], tag: str) -> HttpResponse:
    """Write down that the whole bike is as its build sheet shows it."""
    confirm_corner(ConfirmRequest(tag), **act.mark)
    return see("bike", tag=tag, at="sheet")


@dataclass(frozen=True, slots=True)
class BikePage(Page):
    """What is shown: the bike's own page."""

    title: str
    bike: BikeView
    places: tuple[AtPlace, ...]
    shown: Mapping[str, BuildPartView]
    wide: SafeString
    narrow: SafeString
    unseen_words: Sequence[str]
    is_cut: bool
    ridden: DropAsks
    here: JobView | None
    done: str
    gone: Sequence[JobView]


def _page(request: HttpRequest, tag: str, form: BenchForm | None = None) -> HttpResponse:
    whole = "all" in request.GET
    seen = bike_sheet(tag, now(), 2000 if whole else _NEWEST)
    places = at_places(seen.parts)
    shape = shape_of(seen.kind)
    page = BikePage(
        title=f"{seen.tag} {seen.owner}",
        bike=seen,
        places=places,
        shown={str(part.id): part for part in build_view_of(tag).parts},
        # Drawn twice: with labels to tap for a tablet, bare with its marks for a phone. The drawings escape their words.
        wide=mark_safe(bike_drawing(shape, seen.pieces, spots(places), labelled=True)),
        narrow=mark_safe(bike_drawing(shape, seen.pieces, spots(places))),
        unseen_words=[tables().corners[one].words for one in seen.unseen]
        if len(seen.unseen) < len(tables().corners)
        else [],
        is_cut=not whole and len(seen.history) == _NEWEST,
        ridden=drop_asks(tag),
        here=next((job for job in seen.jobs if not job.state.ended), None),
        done=request.GET.get("done", "")[:200],
        gone=[job for job in seen.jobs if job.state.ended],
    )
    return screen(request, "bike/bike.html", page, form)


@require_safe
def by_hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """The address in the QR of a hang tag, whatever the case."""
    return redirect("bike", tag=tag.upper()[:20])
