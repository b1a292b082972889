"""Bringing a workshop back into an empty home folder: a copy or an export is looked at first, then brought in whole."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol, cast

from django import forms
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_http_methods

from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Words
from pinchbolt.bench.opening.opening_screen import proved
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.templatetags.bench import of_moment
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.open_workshop import is_open
from pinchbolt.workshop.keeping.bring_in import bring_in, look_at_export


class CopyLookedAt(Protocol):
    """A copy as it was found."""

    workshop: str
    events: int
    newest: str


class BringBackForm(BenchForm):
    """Where the copy or the export lies on this machine; of an export, a new passphrase."""

    place = Words(worded("file or folder on this machine"))
    passphrase = forms.CharField(
        label=worded("new passphrase"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    sure = Picked(worded("bring it back"))

    @property
    def file(self) -> Path:
        """The place.

        Raises:
            InputRefused: It is not there.
        """
        words = self.checked()["place"].strip()
        place = Path(words)
        if not words or not place.is_absolute() or not place.exists():
            sentence = worded(
                '"{words}" is not there: write the whole path, such as '
                "/media/stick/bench-2026-11-25-180000.sqlite3.",
                words=words[:200],
            )
            raise InputRefused(sentence, {"place": sentence})
        return place


@dataclass(frozen=True, slots=True)
class BroughtPage(Page):
    """What is shown: where it lies, and, once it was looked at, what is in it. `asks_words`: an export holds no passphrases."""

    title: str
    found: str
    asks_words: bool
    first_owner: str


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def bring_back(request: HttpRequest) -> HttpResponse:
    """Look at a copy or an export, then bring it back; everybody signs in anew."""
    if is_open():
        return see("sign_in")
    if not proved(request):
        return see("two_doors")
    form = BringBackForm(request.POST if request.method == "POST" else None)
    page = BroughtPage(worded("bring a workshop back"), "", asks_words=False, first_owner="")
    if request.method == "POST":
        with form.refusable():
            place = form.file
            page = _looked_at(place)
            if form.checked()["sure"] == "yes":
                _bring(request, place, form.checked()["passphrase"])
                return see("sign_in")
    return screen(request, "opening/bring_back.html", page, form)


def _is_copy(place: Path) -> bool:
    return place.is_file() and place.suffix == ".sqlite3"


def _looked_at(place: Path) -> BroughtPage:
    title = worded("bring a workshop back")
    if _is_copy(place):
        seen = cast(Callable[[Path], CopyLookedAt], import_string(settings.LOOK_AT_COPY))(place)
        words = worded(
            "{workshop}, {events} entries, the last one {of_moment}",
            workshop=seen.workshop or worded("a workshop"),
            events=figure_text(seen.events),
            of_moment=of_moment(seen.newest),
        )
        return BroughtPage(title, words, asks_words=False, first_owner="")
    found = look_at_export(place)
    words = worded(
        "{workshop}, {rows} rows in {files} files, of {made_on}, {made_by}",
        workshop=found.workshop,
        rows=figure_text(found.rows),
        files=found.files,
        made_on=found.made_on,
        made_by=found.made_by,
    )
    return BroughtPage(title, words, asks_words=True, first_owner=found.first_owner)


def _bring(request: HttpRequest, place: Path, passphrase: str) -> None:
    if _is_copy(place):
        cast(Callable[[Path, datetime], object], import_string(settings.BRING_BACK))(place, now())
    else:
        bring_in(place, passphrase, now())
    # The word was this browser's for the empty book; a copy brought no session of its own.
    request.session.flush()
