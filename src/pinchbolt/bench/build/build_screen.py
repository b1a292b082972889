"""The build sheet on the screen: corners with their parts, confirming them, and adding a part."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_http_methods, require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import address, back_to, see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.build.build_form import AddForm, AskOnPage, on_page
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.drawing import Spot
from pinchbolt.errors import NotFound
from pinchbolt.reference.rows.kinds import PartKind
from pinchbolt.reference.rows.measure import CornerRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_view import BuildPartView, BuildView, CornerView, build_view_of, open_job
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, add_part, confirm_corner
from pinchbolt.workshop.bikes.part_questions import kind_named
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.build_offers import (
    InTheBins,
    KindOffered,
    asks_of,
    corner_of,
    free_ends,
    in_the_bins,
    kinds_at,
    kinds_matching,
)

SOURCES = ("read off the part", "measured", "maker's sheet", "owner's word", "guess")
"""How a fact can be known that is told here; what a template or an old record says is told there."""


@require_safe
def build(request: HttpRequest, tag: str) -> HttpResponse:
    """Show the bike by its corners."""
    return _page(request, tag, None)


@acts(BenchForm, lambda request, form, tag: _page(request, tag, form))
def as_shown(act: SentAct[BenchForm], tag: str) -> HttpResponse:
    """Write down that a corner, or the whole bike, is as the sheet shows it."""
    corner = str(act.request.POST.get("corner", ""))
    confirm_corner(ConfirmRequest(tag, corner), **act.mark)
    return back_to("build", tag=tag, at=corner or "top")


@dataclass(frozen=True, slots=True)
class BuildPage(Page):
    """What is shown: the build sheet."""

    title: str
    sheet: BuildView
    spots: tuple[Spot, ...]
    job: int | None
    at: str
    at_part: str


def _page(request: HttpRequest, tag: str, form: BenchForm | None) -> HttpResponse:
    seen = build_view_of(tag)
    at = request.GET.get("at", "")[:60]
    page = BuildPage(
        title=worded("{tag} build sheet", tag=seen.tag),
        sheet=seen,
        spots=spots_of(seen),
        job=open_job(tag),
        at=at,
        at_part=at.removeprefix("part-"),
    )
    return screen(request, "build/build.html", page, form)


def spots_of(seen: BuildView, here: str = "") -> tuple[Spot, ...]:
    """Return the corners as the drawing takes them."""
    return tuple(
        Spot(
            one.id,
            one.words,
            looked_words(one.to_look_at),
            address("build", tag=seen.tag, at=one.id),
            current=one.id == here,
        )
        for one in seen.corners
    )


def looked_words(count: int) -> str:
    """Return how much nobody has looked at."""
    return worded("{count} not looked at", count=count) if count else "looked at"


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, tag: str) -> HttpResponse:
    """Choose a kind (?corner=, ?find=), then say where it is and what it is (?kind=), and put it on the sheet."""
    if request.method != "POST":
        kind = request.GET.get("kind", "")
        return _part_to_add(request, tag, kind, AddForm()) if kind else _kinds(request, tag)
    form = AddForm(request.POST)
    with form.refusable():
        asked = form.asked(tag)
        added = add_part(asked, by=by(request), key=form.key, now=now())
        return after_adding(tag, added.part, corner_of(kind_named(asked.kind), asked.end))
    return _part_to_add(request, tag, str(request.POST.get("kind", "")), form)


def after_adding(tag: str, part: int, corner: str) -> HttpResponseRedirect:
    """Answer after a part was added: what else this corner may have."""
    return see("build_add", tag=tag, query={"corner": corner, "added": part}, at="added")


@dataclass(frozen=True, slots=True)
class AddPage(Page):
    """What is shown: the kinds that may be added at a corner."""

    title: str
    sheet: BuildView
    corner: CornerView
    offered: tuple[KindOffered, ...]
    find: str
    found: tuple[KindOffered, ...]
    others: Sequence[tuple[CornerView, tuple[KindOffered, ...]]]
    added: BuildPartView | None
    same_at: tuple[str, ...]
    following: CornerView | None


def _same_at(seen: BuildView, added: BuildPartView) -> tuple[str, ...]:
    """The other ends at which the same part may stand."""
    return free_ends(seen, kind_named(added.kind)) if added.end and added.in_table else ()


def _kinds(request: HttpRequest, tag: str) -> HttpResponse:
    seen = build_view_of(tag)
    wanted, find = request.GET.get("corner", ""), request.GET.get("find", "")[:40]
    order = [one.id for one in seen.corners]
    if wanted and wanted not in order:
        raise NotFound(
            worded(
                'The bike has no corner "{wanted}": {order}. Choose one.',
                wanted=wanted[:40],
                order=", ".join(order),
            )
        )
    corner = seen.corners[order.index(wanted)] if wanted else seen.corners[0]
    added = next((one for one in seen.parts if str(one.id) == request.GET.get("added", "")), None)
    following = order.index(corner.id) + 1
    page = AddPage(
        title=worded("{tag} add a part", tag=seen.tag),
        sheet=seen,
        corner=corner,
        offered=kinds_at(seen, corner.id),
        find=find,
        found=kinds_matching(seen, find),
        others=[(one, kinds_at(seen, one.id)) for one in seen.corners if one.id != corner.id],
        added=added,
        same_at=_same_at(seen, added) if added else (),
        following=seen.corners[following] if following < len(order) else None,
    )
    return screen(request, "build/add.html", page)


@dataclass(frozen=True, slots=True)
class AddPartPage(Page):
    """What is shown: a part to be added."""

    title: str
    sheet: BuildView
    kind: PartKind
    ends: tuple[str, ...]
    end: str
    corner: CornerRow
    bins: tuple[InTheBins, ...]
    asks: Sequence[AskOnPage]
    more: Sequence[AskOnPage]
    sources: tuple[str, ...]
    source: str


def _part_to_add(request: HttpRequest, tag: str, named: str, form: AddForm) -> HttpResponse:
    seen = build_view_of(tag)
    kind = kind_named(named)
    wanted = str(form.data.get("end", request.GET.get("end", "")))
    ends = free_ends(seen, kind)
    # The corner that was chosen says which end is meant, where it has one.
    corner = request.GET.get("corner", "") or str(form.data.get("corner", ""))
    at_corner = tuple(end for end in ends if corner_of(kind, end) == corner) or ends
    end = wanted if wanted in ends else next(iter(at_corner), "")
    asks = on_page(asks_of(kind, end), form if form.is_bound else None, {})
    page = AddPartPage(
        title=worded("{tag} add: {words}", tag=seen.tag, words=kind.words),
        sheet=seen,
        kind=kind,
        ends=ends,
        end=end,
        corner=tables().corners.get(corner) or tables().corners[corner_of(kind, end)],
        bins=in_the_bins(tag, kind, end),
        asks=[one for one in asks if one.ask.decides],
        more=[one for one in asks if not one.ask.decides],
        sources=SOURCES,
        source=source_of(request, form),
    )
    return screen(request, "build/add_part.html", page, form)


def source_of(request: HttpRequest, form: BenchForm) -> str:
    """Return how a fact is known until somebody says otherwise: at the counter nobody reads parts."""
    at_the_counter = getattr(request.user, "role", "") == "counter"
    usual = "owner's word" if at_the_counter else SOURCES[0]
    return str(form.data.get("source", "")) or usual
