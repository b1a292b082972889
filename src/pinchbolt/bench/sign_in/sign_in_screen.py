"""Sign-in by passphrase; on a signed-in tablet the next person takes over by PIN."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import is_demo, now, screen
from pinchbolt.bench.sign_in.sign_in_form import PassphraseForm, SignInForm
from pinchbolt.bench.tablets.sessions import NAME, SINCE, note_use, opened_at
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.manage_people import PersonView, people


@dataclass(frozen=True, slots=True)
class SignInPage(Page):
    """What is shown: the sign-in."""

    title: str
    people: tuple[PersonView, ...]
    picked: object
    onward: str
    invented: Sequence[Mapping[str, str]]


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """The names of the people here, and a passphrase."""
    onward = _onward(request)
    form = PassphraseForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        with form.refusable():
            _enter(request, form, "passphrase", "password")
            return HttpResponseRedirect(onward)
    return screen(
        request,
        "sign_in/sign_in.html",
        SignInPage(
            title=worded("sign in"),
            people=people(),
            picked=form.data.get("sign_in", ""),
            onward=onward,
            invented=_invented(),
        ),
        form,
    )


@dataclass(frozen=True, slots=True)
class SwitchPage(Page):
    """What is shown: who takes the tablet over."""

    title: str
    people: tuple[PersonView, ...]
    picked: object
    onward: str

    @property
    def somebody_has_pin(self) -> bool:
        """Whether there is anybody to choose."""
        return any(one.has_pin for one in self.people)


@require_http_methods(["GET", "HEAD", "POST"])
def switch(request: HttpRequest) -> HttpResponse:
    """Another person takes the tablet over by PIN."""
    onward = _onward(request)
    form = SignInForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        with form.refusable():
            _enter(request, form, "pin", "pin")
            return HttpResponseRedirect(onward)
    return screen(
        request,
        "sign_in/switch.html",
        SwitchPage(
            title=worded("who is at the bench"),
            people=people(),
            picked=form.data.get("sign_in", ""),
            onward=onward,
        ),
        form,
    )


def _invented() -> Sequence[Mapping[str, str]]:
    """The words that open the demo, on its own sign-in page; a shop's own home has no such file."""
    if not is_demo() or not settings.INVENTED_PEOPLE.is_file():
        return ()
    found: list[Mapping[str, str]] = json.loads(settings.INVENTED_PEOPLE.read_text(encoding="utf-8"))
    return found


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Nobody is signed in on this tablet afterwards."""
    logout(request)
    return redirect("sign_in")


def _enter(request: HttpRequest, form: BenchForm, field: str, credential: str) -> None:
    """Sign the person in, or refuse without saying which of the two was wrong."""
    values = form.checked()
    name, secret = values["sign_in"].lower(), values[field]
    if not name:
        sentence = worded("Tap your name first.")
        raise InputRefused(sentence, {"sign_in": sentence})
    if not secret:
        # Nothing was guessed, so it is no wrong try.
        sentence = worded("Type your PIN.") if field == "pin" else worded("Type your passphrase.")
        raise InputRefused(sentence, {field: sentence})
    person = authenticate(request, username=name, **{credential: secret})
    if person is None:
        what = "PIN" if field == "pin" else "passphrase"
        sentence = worded(
            "Name and {what} do not match. Try again; after five wrong tries you wait 15 minutes.", what=what
        )
        raise InputRefused(sentence, {field: sentence})
    # The tablet keeps its name, whoever is at it, and what a passphrase opened no PIN opens for longer.
    tablet, opened = request.session.get(NAME), opened_at(request.session) if field == "pin" else ""
    login(request, person)
    request.session[SINCE] = now().isoformat()
    note_use(request.session, now(), opened)
    if tablet:
        request.session[NAME] = tablet


def _onward(request: HttpRequest) -> str:
    """Return where to go after signing in: only ever a page of this workshop."""
    wanted = request.POST.get("next") or request.GET.get("next") or reverse("shop_day")
    safe = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if safe else reverse("shop_day")
