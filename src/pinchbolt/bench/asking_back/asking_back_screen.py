"""Who comes back: the weeks ahead, what was said of each by one tap, letters into the outbox and out of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.asking_back.asking_back_form import BackSaidForm, BackWordForm, LetterForm, LettersForm
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.asking_back.due_back import MOST_WEEKS, WEEKS, BackList, due_back
from pinchbolt.workshop.asking_back.make_letters import (
    LetterView,
    letter_file,
    make_letters,
    mark_sent,
    outbox,
    withdraw_letter,
)
from pinchbolt.workshop.leaving.back_said import say_of_call_back, take_back_word

_MOST_SAID = 12
# So many of a week are shown, those in front first: more than that nobody rings in a week.
_MOST_A_WEEK = 60


@dataclass(frozen=True, slots=True)
class BackPage(Page):
    """What is shown: the weeks, those whom nobody asks just now, the outbox, and for which no letter was made."""

    title: str
    seen: BackList
    weeks: int
    most: int
    cut: str
    letters: Sequence[LetterView]
    not_made: Sequence[str]


@require_safe
def back(request: HttpRequest) -> HttpResponse:
    """Who comes back."""
    return _page(request)


@acts(BackSaidForm, lambda request, form: _page(request, form))
def said(act: SentAct[BackSaidForm]) -> HttpResponse:
    """One tap: what was said."""
    say_of_call_back(act.form.asked(), **act.mark)
    return see("who_comes_back")


@acts(BackWordForm, lambda request, form: _page(request, form))
def word_back(act: SentAct[BackWordForm]) -> HttpResponse:
    """A wrong tap."""
    take_back_word(act.form.asked(), **act.mark)
    return see("who_comes_back")


@acts(LettersForm, lambda request, form: _page(request, form))
def letters(act: SentAct[LettersForm]) -> HttpResponse:
    """Letters for the bikes that are named."""
    made = make_letters(act.form.asked(), **act.mark)
    told = {"not_made": "\n".join(made.not_made[:_MOST_SAID])} if made.not_made else {}
    return see("who_comes_back", at="outbox", query=told)


@acts(LetterForm, lambda request, form: _page(request, form))
def sent(act: SentAct[LetterForm]) -> HttpResponse:
    """A letter went out."""
    mark_sent(act.form.asked(), **act.mark)
    return see("who_comes_back", at="outbox")


@acts(LetterForm, lambda request, form: _page(request, form))
def withdrawn(act: SentAct[LetterForm]) -> HttpResponse:
    """A letter is taken out of the outbox."""
    withdraw_letter(act.form.asked(), **act.mark)
    return see("who_comes_back", at="outbox")


@require_safe
def letter(request: HttpRequest, letter: int) -> HttpResponseBase:
    """The file of a letter: to be printed, opened in a mail program, or read off."""
    path = letter_file(letter)
    kinds = {".pdf": "application/pdf", ".eml": "message/rfc822", ".txt": "text/plain; charset=utf-8"}
    return FileResponse(
        path.open("rb"),
        as_attachment=path.suffix == ".eml",
        filename=path.name,
        content_type=kinds[path.suffix],
    )


def _page(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    asked = request.GET.get("weeks", "")
    weeks = min(max(int(asked), 1), MOST_WEEKS) if asked.isdecimal() and len(asked) < 4 else WEEKS
    page = BackPage(
        title=worded("who comes back"),
        seen=due_back(now(), weeks),
        weeks=weeks,
        most=_MOST_A_WEEK,
        cut=f":{_MOST_A_WEEK}",
        letters=outbox(),
        not_made=request.GET.get("not_made", "")[:2000].splitlines()[:_MOST_SAID],
    )
    return screen(request, "asking_back/who_comes_back.html", page, form)
