"""Two doors: look around the invented workshop, or open one's own. Nothing else is served until somebody works here."""

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol, cast

from django.conf import settings
from django.contrib.auth import authenticate, login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_http_methods, require_POST

from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Words
from pinchbolt.bench.opening.opening_form import OpeningForm
from pinchbolt.bench.opening.terms_form import STANDS
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.country import CountryRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.open_workshop import is_open, open_workshop
from pinchbolt.workshop.common.trade_tables import tables

_PROVED = "opening"


class InventedBeside(Protocol):
    """The invented workshop that runs beside this one: where, whether it answers, and why it does not."""

    address: str
    ready: bool
    fault: str


class WordForm(BenchForm):
    """The word from the window in which the program runs."""

    word = Words(worded("word"))


@dataclass(frozen=True, slots=True)
class DoorsPage(Page):
    """What is shown: the two doors, or the field for the word that opens them."""

    title: str
    proved: bool
    can_be_proved: bool


@dataclass(frozen=True, slots=True)
class OpenOwnPage(Page):
    """What is shown: what is asked to open a workshop."""

    title: str
    countries: Sequence[CountryRow]
    stands: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LookAroundPage(Page):
    """What is shown while the invented workshop is made ready."""

    title: str
    beside: InventedBeside


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def two_doors(request: HttpRequest) -> HttpResponse:
    """The two doors; whoever has no word from the program's own window types it first."""
    if is_open():
        return see("sign_in")
    given = request.POST.get("word") or request.GET.get("word") or ""
    form = WordForm(request.POST if request.method == "POST" else None)
    if given and not _prove(request, given):
        with form.refusable():
            sentence = worded("This is not the word: look where pinchbolt runs, and type it again.")
            raise InputRefused(sentence, {"word": sentence})
    elif given:
        return see("two_doors")
    page = DoorsPage("pinchbolt", proved=proved(request), can_be_proved=bool(settings.OPENING_WORD))
    return screen(request, "opening/two_doors.html", page, form)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def open_own(request: HttpRequest) -> HttpResponse:
    """Open a workshop; afterwards its first person is signed in."""
    form = OpeningForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and proved(request):
        with form.refusable():
            asked = form.asked()
            open_workshop(asked, key=form.key, now=now())
            name = asked.sign_in.strip() or asked.person.split()[0]
            person = authenticate(request, username=name, password=asked.passphrase)
            if person is not None:
                login(request, person)
            return see("shop_day")
    if is_open():
        return see("sign_in")
    if not proved(request):
        return see("two_doors")
    page = OpenOwnPage(worded("your workshop"), tuple(tables().countries.values()), STANDS)
    return screen(request, "opening/open_own.html", page, form)


@login_not_required
@require_POST
def look_around(request: HttpRequest) -> HttpResponse:
    """Start the invented workshop beside this one."""
    if not proved(request):
        return see("two_doors")
    _beside(start=True)
    return see("looking_around")


@login_not_required
@require_http_methods(["GET", "HEAD"])
def looking_around(request: HttpRequest) -> HttpResponse:
    """Wait until the invented workshop answers, then go there."""
    if not proved(request):
        return see("two_doors")
    page = LookAroundPage(worded("the invented workshop"), _beside(start=False))
    return screen(request, "opening/looking_around.html", page)


def _beside(*, start: bool) -> InventedBeside:
    ask = cast(Callable[..., InventedBeside], import_string(settings.DEMO_BESIDE))
    return ask(start=start)


def _prove(request: HttpRequest, word: str) -> bool:
    """Remember that this browser was given the word."""
    wanted = settings.OPENING_WORD
    if not wanted or not secrets.compare_digest(word.strip().lower().encode(), wanted.encode()):
        return False
    request.session[_PROVED] = True
    return True


def proved(request: HttpRequest) -> bool:
    """Return whether this browser was given the word of the program's own window."""
    return bool(request.session.get(_PROVED))
