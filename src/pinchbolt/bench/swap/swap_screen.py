"""The swap page: nothing on it writes but the facts that are read off a bike."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.bench.swap.swap_form import RANK_WORDS, WANTS, FactForm, SwapForm, SwapMoveForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.goes_to import DISPLACED
from pinchbolt.workshop.bikes.hosts import Host, every_host
from pinchbolt.workshop.bikes.movable import everyday, facts_that_go, movable
from pinchbolt.workshop.bikes.move_part import Moved, move_part
from pinchbolt.workshop.bikes.typed_facts import note_facts, question_of
from pinchbolt.workshop.common.table_words import code_in_words
from pinchbolt.workshop.parts.swap import Side, SwapView, side
from pinchbolt.workshop.parts.swap import swap as swap_of
from pinchbolt.workshop.parts.take_in_parts import BinView, bins


@dataclass(frozen=True, slots=True)
class Doubt:
    """A fact that would settle something: of which bike, how to find it out, and how it is typed in (answers with their words, or a figure)."""

    tag: str
    fact: str
    ask: str
    unit: str
    words: tuple[tuple[str, str], ...]


# What belongs to an act of the page, and not to the question.
_OF_THE_ACT = ("key", "csrfmiddlewaretoken", "fact", "value", "tag")


@require_safe
def swap(request: HttpRequest) -> HttpResponse:
    """Choose two sides and a part, or what is wanted; then the ways."""
    return _page(request, SwapForm(request.GET))


@acts(FactForm, lambda request, form: _page(request, SwapForm(request.POST), form))
def fact(act: SentAct[FactForm]) -> HttpResponse:
    """Write a fact that was read off a bike, and ask the same again."""
    note_facts(act.form.asked(), **act.mark)
    return see("swap", query=_asked_again(act.request))


@acts(SwapMoveForm, lambda request, form: _page(request, SwapForm(request.POST), form))
def moved(act: SentAct[SwapMoveForm]) -> HttpResponse:
    """Write down that the part went across; then the page of the bike that has it now."""
    asked = act.form.asked()
    done = move_part(asked, **act.mark)
    bike = next(one for one in (done.into, done.out_of) if not one.startswith("trainer"))
    return see("bike", tag=bike, query={"done": _in_words(asked.move, done)})


def _in_words(what: str, done: Moved) -> str:
    """What was saved, in one line: what went where, and where the one lies that it took the place of."""
    said = worded("Saved: {what} of {out_of} into {into}.", what=what, out_of=done.out_of, into=done.into)
    if done.came_back:
        return said + worded(" The old one went back in exchange.")
    return said + (worded(" The old one is now {lies}.", lies=done.lies) if done.taken_off else "")


def _asked_again(request: HttpRequest) -> dict[str, str]:
    names = ("into", "out_of", "move", "rank", "want_words", *(name for name, *_ in WANTS))
    return {name: request.POST[name] for name in names if request.POST.get(name)}


@dataclass(frozen=True, slots=True)
class _Sides:
    """The two sides."""

    into: Side | None
    out_of: Side | None


@dataclass(frozen=True, slots=True)
class SwapPage(Page):
    """What is shown: the swap."""

    title: str
    hosts: tuple[Host, ...]
    parts: tuple[BinView, ...]
    told: Mapping[str, str]
    wants: Sequence[tuple[str, str, str, str]]
    want_words: str
    ranks: Mapping[str, str]
    sides: _Sides
    seen: SwapView | None
    doubts: tuple[Doubt, ...]
    refused: FactForm | SwapMoveForm | None
    carried: Sequence[tuple[str, object]]

    @property
    def movable(self) -> Sequence[tuple[str, bool]]:
        """What can be moved, what is moved most days first."""
        first = everyday()
        return [(name, name in first) for name in (*first, *(one for one in movable() if one not in first))]

    @property
    def displaced(self) -> Mapping[str, str]:
        """Where a part lies that another one took the place of."""
        return DISPLACED

    @property
    def not_saved(self) -> bool:
        """Whether something was to be written, and was refused."""
        return self.refused is not None

    @property
    def refused_fact(self) -> str:
        """The fact that was to be written, and was refused."""
        return str(self.refused.data.get("fact", "")) if isinstance(self.refused, FactForm) else ""


def _page(request: HttpRequest, form: SwapForm, act: FactForm | SwapMoveForm | None = None) -> HttpResponse:
    """The page; *act* is what was to be written and was refused."""
    refused = act if act is not None and act.refusal is not None else None
    told = {name: str(form.data.get(name, "")) for name in ("into", "out_of", "move", "rank")}
    wants = [(name, words, unit, str(form.data.get(name, ""))) for name, words, unit, _ in WANTS]
    seen, sides = None, _Sides(None, None)
    with form.refusable():
        sides = _Sides(_side(told["into"], told["move"]), _side(told["out_of"], told["move"]))
        seen = _answered(form, told, wants)
    page = SwapPage(
        title=worded("swap"),
        hosts=every_host(),
        parts=bins(),
        told={**told, "rank": told["rank"] or "price"},
        wants=wants,
        want_words=str(form.data.get("want_words", "")),
        ranks=RANK_WORDS,
        sides=sides,
        seen=seen,
        doubts=_doubts(seen, sides, told["move"]) if seen else (),
        refused=refused,
        carried=[(name, value) for name, value in form.data.items() if name not in _OF_THE_ACT],
    )
    return screen(request, "swap/swap.html", page, refused or form)


def _doubts(seen: SwapView, sides: _Sides, move: str) -> tuple[Doubt, ...]:
    """What would settle the bike as it would stand, or the best way: each fact once, on the bike that it is a fact of."""
    check: dict[str, Any] = seen.standing or (seen.plans[0].check if seen.plans else None) or {}
    of_the_part = facts_that_go(move) if seen.standing else frozenset()
    found: dict[str, Doubt] = {}
    for one in check.get("checks", ()):
        if one["verdict"] != "cannot tell" or len(one["missing"]) != len(one["ask"]):
            continue
        for name, ask in zip(one["missing"], one["ask"], strict=True):
            doubt = _doubt(name, ask, sides.out_of if name in of_the_part else sides.into)
            if doubt is not None:
                found.setdefault(name, doubt)
    return tuple(found.values())


def _doubt(name: str, ask: str, of: Side | None) -> Doubt | None:
    """One fact that would settle something; none where it is no fact of a bike that is asked by hand."""
    question = question_of(name)
    if question is None or of is None or not of.is_bike:
        return None
    if question.kind == "flag":
        return Doubt(of.name, name, ask, question.unit, (("yes", "yes"), ("no", "no")))
    answers = question.allowed if question.kind in ("of", "one_of") else ()
    words = tuple((str(word), _answer_words(name, word)) for word in answers)
    return Doubt(of.name, name, ask, question.unit, words)


def _answer_words(fact: str, word: object) -> str:
    """An answer to tap: in plain words, the code behind where there is one."""
    plain = code_in_words(fact, word)
    return f"{plain} ({word})" if plain else str(word)


def _side(named: str, move: str) -> Side | None:
    return side(named, move) if named else None


def _is_in_words(told: Mapping[str, str], form: SwapForm) -> bool:
    return bool(told["into"] and str(form.data.get("want_words", "")).strip())


def _answered(
    form: SwapForm, told: Mapping[str, str], wants: Sequence[tuple[str, str, str, str]]
) -> SwapView | None:
    if _is_whole(told, wants) or _is_in_words(told, form):
        return swap_of(form.asked())
    # The form always sends what is shown first; a link to this page does not.
    if "rank" in form.data:
        raise InputRefused(_what_is_missing(told))
    return None


def _what_is_missing(told: Mapping[str, str]) -> str:
    if not told["into"]:
        return worded("Choose the bike to fit it to.")
    return worded("Choose where it comes from and which part, or say what you need.")


def _is_whole(told: Mapping[str, str], wants: Sequence[tuple[str, str, str, str]]) -> bool:
    """Whether enough is said for an answer: where to, and what is moved or wanted."""
    moves = bool(told["move"] and told["out_of"])
    return bool(told["into"]) and (moves or any(one[3] for one in wants))
