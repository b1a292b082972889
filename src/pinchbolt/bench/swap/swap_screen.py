"""The swap page: nothing on it writes but the facts that are read off a bike."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.swap.swap_form import RANK_WORDS, WANTS, FactForm, SwapForm, SwapMoveForm
from pinchbolt.workshop.bikes.hosts import every_host
from pinchbolt.workshop.bikes.movable import everyday, facts_that_go, movable
from pinchbolt.workshop.bikes.move_part import move_part
from pinchbolt.workshop.bikes.typed_facts import note_facts, question_of
from pinchbolt.workshop.parts.swap import Side, SwapView, side
from pinchbolt.workshop.parts.swap import swap as swap_of
from pinchbolt.workshop.parts.take_in_parts import bins


@dataclass(frozen=True, slots=True)
class Doubt:
    """A fact that would settle something: of which bike, how to find it out, and how it is typed in (a list, or a figure)."""

    tag: str
    fact: str
    ask: str
    unit: str
    words: tuple[str, ...]


@require_safe
def swap(request: HttpRequest) -> HttpResponse:
    """Choose two sides and a part, or what is wanted; then the ways."""
    return _page(request, SwapForm(request.GET))


@require_POST
def fact(request: HttpRequest) -> HttpResponse:
    """Write a fact that was read off a bike, and ask the same again."""
    form = FactForm(request.POST)
    with form.refusable():
        note_facts(form.asked(), by=by(request), key=form.key, now=now())
        answer = HttpResponseRedirect(f"/swap/?{_asked_again(request)}")
        answer.status_code = 303
        return answer
    return _page(request, SwapForm(request.POST), form)


@require_POST
def moved(request: HttpRequest) -> HttpResponse:
    """Write down that the part went across; then the page of the bike that has it now."""
    form = SwapMoveForm(request.POST)
    with form.refusable():
        done = move_part(form.asked(), by=by(request), key=form.key, now=now())
        bike = next(one for one in (done.into, done.out_of) if not one.startswith("trainer"))
        answer = HttpResponseRedirect(f"/bike/{bike}/")
        answer.status_code = 303
        return answer
    return _page(request, SwapForm(request.POST), form)


def _asked_again(request: HttpRequest) -> str:
    names = ("into", "out_of", "move", "rank", *(name for name, *_ in WANTS))
    return urlencode({name: request.POST[name] for name in names if request.POST.get(name)})


def _page(request: HttpRequest, form: SwapForm, act: FactForm | SwapMoveForm | None = None) -> HttpResponse:
    """The page; *act* is what was to be written and was refused."""
    fact_form = act if isinstance(act, FactForm) else None
    told = {name: str(form.data.get(name, "")) for name in ("into", "out_of", "move", "rank")}
    wants = [(name, words, unit, str(form.data.get(name, ""))) for name, words, unit, _ in WANTS]
    whole = bool(told["into"]) and (bool(told["move"] and told["out_of"]) or any(one[3] for one in wants))
    seen, sides = None, _Sides(None, None)
    with form.refusable():
        sides = _Sides(
            side(told["into"], told["move"]) if told["into"] else None,
            side(told["out_of"], told["move"]) if told["out_of"] else None,
        )
        seen = swap_of(form.asked()) if whole else None
    shown: BenchForm = act if act is not None and act.refusal else form
    first = everyday()
    context = {
        "title": "swap",
        "hosts": every_host(),
        "parts": bins(),
        "movable": [
            (name, name in first) for name in (*first, *(one for one in movable() if one not in first))
        ],
        "told": {**told, "rank": told["rank"] or "price"},
        "wants": wants,
        "ranks": RANK_WORDS,
        "sides": sides,
        "seen": seen,
        "doubts": _doubts(seen, sides, told["move"]) if seen else (),
        "not_saved": act is not None and act.refusal is not None,
        "refused_fact": str(fact_form.data.get("fact", ""))
        if fact_form is not None and fact_form.refusal
        else "",
        "carried": [
            (name, value)
            for name, value in form.data.items()
            if name not in ("key", "csrfmiddlewaretoken", "fact", "value", "tag")
        ],
    }
    return screen(request, "swap/swap.html", context, shown)


@dataclass(frozen=True, slots=True)
class _Sides:
    """The two sides."""

    into: Side | None
    out_of: Side | None


def _doubts(seen: SwapView, sides: _Sides, move: str) -> tuple[Doubt, ...]:
    """What would settle the bike as it would stand, or the best way: each fact once, on the bike that it is a fact of."""
    check: dict[str, Any] | None = seen.standing or (seen.plans[0].check if seen.plans else None)
    of_the_part = facts_that_go(move) if seen.standing else frozenset()
    found: dict[str, Doubt] = {}
    for one in check["checks"] if check else ():
        if one["verdict"] != "cannot tell" or len(one["missing"]) != len(one["ask"]):
            continue
        for name, ask in zip(one["missing"], one["ask"], strict=True):
            question, of = question_of(name), sides.out_of if name in of_the_part else sides.into
            if question is None or of is None or not of.is_bike:
                continue
            words = tuple(str(word) for word in question.allowed) if question.kind in ("of", "one_of") else ()
            if question.kind == "flag":
                words = ("yes", "no")
            found.setdefault(name, Doubt(of.name, name, ask, question.unit, words))
    return tuple(found.values())
