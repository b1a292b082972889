"""One part of the build sheet: describe it, mark a limit, replace it, take it off, or say that the other end has the same."""

from collections.abc import ItemsView, Mapping, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.build.build_form import (
    AskOnPage,
    DescribeForm,
    EndForm,
    FactsForm,
    MarkForm,
    MovePartForm,
    ReplaceForm,
    TakeOffForm,
    on_page,
)
from pinchbolt.bench.build.build_screen import SOURCES, after_adding, source_of
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.build_view import BuildPartView, BuildView, CornerView, build_view_of
from pinchbolt.workshop.bikes.change_build import describe, replace, take_off
from pinchbolt.workshop.bikes.goes_to import GOES_TO, NEVER_THERE
from pinchbolt.workshop.bikes.mark_limit import mark_limit
from pinchbolt.workshop.bikes.move_part import MoveRequest, move_part
from pinchbolt.workshop.bikes.same_part import SameRequest, add_same
from pinchbolt.workshop.parts.build_offers import (
    AskOffered,
    BikeBeside,
    asks_of,
    bikes_beside,
    corner_of,
    free_ends,
)

ACTS = {
    "describe": "describe",
    "mark": worded("mark a limit"),
    "replace": "replace",
    "off": worded("take off"),
}
"""What may be done to a part, each with its own short page."""


@require_safe
def part(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Show a part with one act (?do=)."""
    do = request.GET.get("do", "")
    return _page(request, tag, part, do if do in ACTS else "describe", None)


@acts(DescribeForm, lambda request, form, tag, part: _page(request, tag, part, "describe", form))
def described(act: SentAct[DescribeForm], tag: str, part: int) -> HttpResponse:
    """Write down what a part is."""
    return _on_sheet(tag, describe(act.form.asked(part), **act.mark).part)


@acts(
    lambda request: MarkForm(request.POST, prefix=str(request.POST.get("row", ""))[:80]),
    lambda request, form, tag, part: _page(request, tag, part, "mark", form),
)
def marked(act: SentAct[MarkForm], tag: str, part: int) -> HttpResponse:
    """Write down a limit that is marked on a part."""
    mark_limit(act.form.asked(part), **act.mark)
    return _on_sheet(tag, part)


@acts(ReplaceForm, lambda request, form, tag, part: _page(request, tag, part, "replace", form))
def replaced(act: SentAct[ReplaceForm], tag: str, part: int) -> HttpResponse:
    """Put another part of its kind in a part's place."""
    return _on_sheet(tag, replace(act.form.asked(part), **act.mark).part)


@acts(TakeOffForm, lambda request, form, tag, part: _page(request, tag, part, "off", form))
def taken_off(act: SentAct[TakeOffForm], tag: str, part: int) -> HttpResponse:
    """Take a part off."""
    return _on_sheet(tag, take_off(act.form.asked(part), **act.mark).part)


@acts(MovePartForm, lambda request, form, tag, part: _page(request, tag, part, "off", form))
def moved(act: SentAct[MovePartForm], tag: str, part: int) -> HttpResponse:
    """Move a part to another bike of its owner."""
    said = act.form.checked()
    asked = MoveRequest(move=str(act.request.POST.get("move", ""))[:40], out_of=tag, into=said["into"])
    move_part(asked, **act.mark)
    return _on_sheet(tag, part)


@acts(EndForm, lambda request, form, tag, part: _page(request, tag, part, "describe", form))
def same(act: SentAct[EndForm], tag: str, part: int) -> HttpResponse:
    """Put a part like this one at another end."""
    end = str(act.form.checked()["end"])
    added = add_same(SameRequest(part, end), **act.mark)
    new = next((one for one in build_view_of(tag).parts if one.id == added.part), None)
    return after_adding(tag, added.part, corner_of(kind_row(new.kind), new.end) if new else "")


def _on_sheet(tag: str, part: int) -> HttpResponse:
    """The sheet again, at a part that was changed; at its top where the part is gone from it."""
    seen = build_view_of(tag)
    is_there = any(one.id == part for one in seen.parts)
    return back_to("build", tag=seen.tag, at=f"part-{part}" if is_there else "top")


@dataclass(frozen=True, slots=True)
class PartPage(Page):
    """What is shown: one part with one act."""

    title: str
    sheet: BuildView
    part: BuildPartView
    corner: CornerView
    do: str
    every_ask: tuple[AskOnPage, ...]
    goes_to: ItemsView[str, str]
    gone_to: str
    day: str
    same_at: tuple[str, ...]
    beside: tuple[BikeBeside, ...]
    carried: Sequence[BuildPartView]
    sources: tuple[str, ...]
    source: str

    @property
    def acts(self) -> Mapping[str, str]:
        """What may be done to this part."""
        return {name: words for name, words in ACTS.items() if name != "mark" or self.part.can_be_marked}

    @property
    def asks(self) -> Sequence[AskOnPage]:
        """The questions that stand open on the page: what decides, and what is known."""
        return [one for one in self.every_ask if one.ask.decides or one.is_known]

    @property
    def more(self) -> Sequence[AskOnPage]:
        """The questions behind "more"."""
        return [one for one in self.every_ask if one not in self.asks]

    @property
    def old_goes_to(self) -> Sequence[tuple[str, str]]:
        """Where a part that was there may have gone."""
        return [one for one in self.goes_to if one[0] != NEVER_THERE]


def _page(request: HttpRequest, tag: str, part: int, do: str, form: BenchForm | None) -> HttpResponse:
    seen = build_view_of(tag)
    shown = _shown(seen, part)
    kind, sent = kind_row(shown.kind), form or BenchForm()
    known = {one.fact: one for one in shown.facts} if do == "describe" else {}
    facts_form = form if isinstance(form, FactsForm) else None
    asks = on_page(_asks(shown), facts_form, known)
    page = PartPage(
        title=f"{seen.tag} {shown.words}",
        sheet=seen,
        part=shown,
        corner=next(one for one in seen.corners if shown in one.parts),
        do=do,
        every_ask=asks,
        goes_to=GOES_TO.items(),
        gone_to=str(sent.data.get("gone_to", "")),
        day=str(sent.data.get("day", "")),
        same_at=free_ends(seen, kind) if shown.end and shown.in_table else (),
        beside=bikes_beside(tag) if do == "off" and shown.moves_as else (),
        carried=_carried(seen, shown) if kind.carries else (),
        sources=SOURCES,
        source=source_of(request, sent),
    )
    return screen(request, "build/part.html", page, form)


def _asks(shown: BuildPartView) -> tuple[AskOffered, ...]:
    return asks_of(kind_row(shown.kind), shown.end) if shown.in_table else ()


def _carried(seen: BuildView, wheel: BuildPartView) -> Sequence[BuildPartView]:
    """What stands on a wheel."""
    return [one for one in seen.parts if one.on_wheel and one.end == wheel.end]


def _shown(seen: BuildView, part: int) -> BuildPartView:
    found = next((one for one in seen.parts if one.id == part), None)
    if found is None:
        raise NotFound(
            worded(
                "Part {part} is not on {tag} now: it was taken off, or never was on it. Choose one "
                "from the build sheet.",
                part=part,
                tag=seen.tag,
            )
        )
    return found
