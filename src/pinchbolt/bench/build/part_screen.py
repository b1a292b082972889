"""One part of the build sheet: describe it, mark a limit, replace it, take it off, or say that the other end has the same."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.build.build_form import (
    DescribeForm,
    EndForm,
    FactsForm,
    MarkForm,
    MovePartForm,
    ReplaceForm,
    TakeOffForm,
    on_page,
)
from pinchbolt.bench.build.build_screen import after_adding, back_to_sheet, source_of
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.errors import NotFound
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.build_view import BuildPartView, BuildView, build_view_of
from pinchbolt.workshop.bikes.change_build import GOES_TO, NEVER_THERE, describe, replace, take_off
from pinchbolt.workshop.bikes.mark_limit import mark_limit
from pinchbolt.workshop.bikes.move_part import MoveRequest, move_part
from pinchbolt.workshop.bikes.same_part import SameRequest, add_same
from pinchbolt.workshop.parts.build_offers import asks_of, bikes_beside, corner_of, free_ends

ACTS = {"describe": "describe", "mark": "mark a limit", "replace": "replace", "off": "take off"}
"""What may be done to a part, each with its own short page."""


@require_safe
def part(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Show a part with one act (?do=)."""
    do = request.GET.get("do", "")
    return _page(request, tag, part, do if do in ACTS else "describe", None)


@require_POST
def described(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Write down what a part is."""
    form = DescribeForm(request.POST)
    return _acted(
        request, tag, part, "describe", form,
        lambda: describe(form.asked(part), by=by(request), key=form.key, now=now()).part,
    )  # fmt: skip


@require_POST
def marked(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Write down a limit that is marked on a part."""
    form = MarkForm(request.POST, prefix=str(request.POST.get("row", ""))[:80])

    def act() -> int:
        mark_limit(form.asked(part), by=by(request), key=form.key, now=now())
        return part

    return _acted(request, tag, part, "mark", form, act)


@require_POST
def replaced(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Put another part of its kind in a part's place."""
    form = ReplaceForm(request.POST)
    return _acted(
        request, tag, part, "replace", form,
        lambda: replace(form.asked(part), by=by(request), key=form.key, now=now()).part,
    )  # fmt: skip


@require_POST
def taken_off(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Take a part off."""
    form = TakeOffForm(request.POST)
    return _acted(
        request, tag, part, "off", form,
        lambda: take_off(form.asked(part), by=by(request), key=form.key, now=now()).part,
    )  # fmt: skip


@require_POST
def moved(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Move a part to another bike of its owner."""
    form = MovePartForm(request.POST)

    def act() -> int:
        said = form.checked()
        asked = MoveRequest(move=str(request.POST.get("move", ""))[:40], out_of=tag, into=said["into"])
        move_part(asked, by=by(request), key=form.key, now=now())
        return part

    return _acted(request, tag, part, "off", form, act)


@require_POST
def same(request: HttpRequest, tag: str, part: int) -> HttpResponse:
    """Put a part like this one at another end."""
    form = EndForm(request.POST)
    with form.refusable():
        end = str(form.checked()["end"])
        added = add_same(SameRequest(part, end), by=by(request), key=form.key, now=now())
        new = next((one for one in build_view_of(tag).parts if one.id == added.part), None)
        return after_adding(tag, added.part, corner_of(kind_row(new.kind), new.end) if new else "")
    return _page(request, tag, part, "describe", form)


def _acted(
    request: HttpRequest, tag: str, part: int, do: str, form: BenchForm, act: Callable[[], int]
) -> HttpResponse:
    """Do it and go back to the sheet; after a refusal the page of the act again, with its entries."""
    with form.refusable():
        changed = act()
        seen = build_view_of(tag)
        here = next((one.id for one in seen.corners if any(p.id == changed for p in one.parts)), "")
        return back_to_sheet(seen.tag, f"part-{changed}" if here else "top")
    return _page(request, tag, part, do, form)


def _page(request: HttpRequest, tag: str, part: int, do: str, form: BenchForm | None) -> HttpResponse:
    seen = build_view_of(tag)
    shown = _shown(seen, part)
    kind = kind_row(shown.kind)
    known = {one.fact: one for one in shown.facts} if do == "describe" else {}
    facts_form = form if isinstance(form, FactsForm) else None
    asks = on_page(asks_of(kind, shown.end) if shown.in_table else (), facts_form, known)
    first = [one for one in asks if one.ask.decides or one.is_known]
    context = {
        "title": f"{seen.tag} {shown.words}",
        "sheet": seen,
        "part": shown,
        "corner": next(one for one in seen.corners if shown in one.parts),
        "do": do,
        "acts": {name: words for name, words in ACTS.items() if name != "mark" or shown.can_be_marked},
        "asks": first,
        "more": [one for one in asks if one not in first],
        "goes_to": GOES_TO.items(),
        "old_goes_to": [one for one in GOES_TO.items() if one[0] != NEVER_THERE],
        "gone_to": str(form.data.get("gone_to", "")) if form else "",
        "day": str(form.data.get("day", "")) if form else "",
        "same_at": free_ends(seen, kind) if shown.end and shown.in_table else (),
        "beside": bikes_beside(tag) if do == "off" and shown.moves_as else (),
        "carried": [one for one in seen.parts if one.on_wheel and one.end == shown.end]
        if kind.carries
        else [],
        **source_of(request, form or BenchForm()),
    }
    return screen(request, "build/part.html", context, form)


def _shown(seen: BuildView, part: int) -> BuildPartView:
    found = next((one for one in seen.parts if one.id == part), None)
    if found is None:
        raise NotFound(
            f"Part {part} is not on {seen.tag} now: it was taken off, or never was on it. Choose one from the build sheet."
        )
    return found
