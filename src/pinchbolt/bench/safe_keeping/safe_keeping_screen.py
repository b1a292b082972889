"""Safe keeping: copies of the book, what the doctor finds, and the first list again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol, cast

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_safe

from pinchbolt import __version__
from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.safe_keeping.safe_keeping_form import CopyForm, CopyPlaceForm, PutAwayForm
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.templatetags.bench import of_moment
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.settings.first_list import put_away
from pinchbolt.workshop.settings.safe_keeping import BackUp, CopyMade, back_up_now, copies_made, set_place
from pinchbolt.workshop.settings.settings_lines import NewestCopy, newest_copies, newest_copy, was_put_away

_SHOWN = 6


class LookedOver(Protocol):
    """One thing that the doctor looked at."""

    what: str
    good: bool
    words: str


class CopyTried(Protocol):
    """A copy as it was found, and how many entries are here that it has not."""

    events: int
    newest: str
    lost: int


@dataclass(frozen=True, slots=True)
class SafeKeepingPage(Page):
    """What is shown: the copies, their places, what the doctor finds; the doctor is asked for, since it reads every page of the book."""

    place_form: CopyPlaceForm
    newest_copy: NewestCopy | None
    folder: str
    second: str
    copies: tuple[CopyMade, ...]
    kept: tuple[NewestCopy, ...]
    tried: str
    tried_words: str
    looked: Sequence[LookedOver]
    put_away: bool
    version: str


@require_safe
def safe_keeping(request: HttpRequest) -> HttpResponse:
    """How safe the book is."""
    return _page(request, None)


@acts(CopyForm, lambda request, form: _page(request, form))
def copy_now(act: SentAct[CopyForm]) -> HttpResponse:
    """Make a copy now."""
    back_up_now(
        act.form.asked(), Path(settings.BACKUPS), cast(BackUp, import_string(settings.BACK_UP)), **act.mark
    )
    return see("safe_keeping")


@acts(CopyPlaceForm, lambda request, form: _page(request, form))
def change_place(act: SentAct[CopyPlaceForm]) -> HttpResponse:
    """Choose the second place."""
    set_place(act.form.asked(), **act.mark)
    return see("safe_keeping")


@acts(PutAwayForm, lambda request, form: _page(request, form))
def first_list_away(act: SentAct[PutAwayForm]) -> HttpResponse:
    """Put the first list away, or take it out again; the shop day shows which."""
    put_away(act.form.asked(), **act.mark)
    return see("shop_day")


def _what_it_loses(copy: Path) -> str:
    """What is in a copy, and what is here and not in it."""
    try:
        seen = cast(Callable[[Path], CopyTried], import_string(settings.LOOK_AT_COPY))(copy)
    except (InputRefused, NotPossibleNow) as refused:
        return refused.sentence
    lost = (
        worded("{lost} entries are here and not in it: they would be lost.", lost=figure_text(seen.lost))
        if seen.lost
        else worded("Nothing here would be lost.")
    )
    return worded(
        "Sound: {events} entries, the last one {of_moment}. {lost}",
        events=figure_text(seen.events),
        of_moment=of_moment(seen.newest),
        lost=lost,
    )


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    shop, folder = terms(), Path(settings.BACKUPS)
    kept = newest_copies(folder, _SHOWN)
    tried = next((one.name for one in kept if one.name == request.GET.get("copy")), "")
    look = cast(Callable[[datetime], Sequence[LookedOver]], import_string(settings.LOOK_OVER))
    page = SafeKeepingPage(
        place_form=form
        if isinstance(form, CopyPlaceForm)
        else CopyPlaceForm(initial={"place": shop.backup_place}),
        newest_copy=newest_copy(folder),
        folder=str(folder),
        second=shop.backup_place,
        copies=copies_made(),
        kept=kept,
        tried=tried,
        tried_words=_what_it_loses(folder / tried) if tried else "",
        looked=look(now()) if request.GET.get("look") == "yes" else (),
        put_away=was_put_away(),
        version=__version__,
    )
    return screen(
        request,
        "safe_keeping/safe_keeping.html",
        page,
        form,
        frame_of(request, "safe keeping", worded("Safe keeping")),
    )
