"""The shop's own words on papers and in texts to owners."""

from dataclasses import dataclass

from django.forms import BoundField
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import screen
from pinchbolt.bench.words.words_form import WordsForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.settings.words_on_papers import set_words, words_placed


@dataclass(frozen=True, slots=True)
class WordsPage(Page):
    """What is shown: every place with the field of its words."""

    fields: tuple[tuple[BoundField, str], ...]
    foot: BoundField


@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """The words as they stand."""
    return _page(request, None)


@acts(WordsForm, lambda request, form: _page(request, form))
def change_words(act: SentAct[WordsForm]) -> HttpResponse:
    """Change them."""
    set_words(act.form.asked(), **act.mark)
    return see("words")


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    shown = own_form(form, WordsForm)
    page = WordsPage(
        tuple((shown[one.place.id], one.place.where) for one in words_placed()), shown["foot_words"]
    )
    return screen(
        request, "words/words.html", page, form, frame_of(request, "words", worded("Words on papers"))
    )
