"""Tablets: who is signed in where, and ending it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol, cast

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.proof import prove
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.tablets.sessions import NAME, TabletView, end_session, signed_in_tablets
from pinchbolt.bench.tablets.tablets_form import TabletEndForm, TabletNameForm, TokenEndForm, TokenForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import allowed
from pinchbolt.workshop.acts.api_tokens import TokenMade, TokenView, end_token, make_token, tokens_of
from pinchbolt.workshop.acts.manage_people import OWNER, people
from pinchbolt.workshop.settings.safe_keeping import TabletRequest, end_tablet
from pinchbolt.workshop.settings.safe_keeping import name_tablet as name_it

USUAL_NAMES = ("bench 1", "bench 2", "counter", "phone")


class SignInLine(Protocol):
    """A sign-in or a wrong try, as it was written down."""

    at: datetime
    who: str
    what: str
    origin: str


@dataclass(frozen=True, slots=True)
class TabletsPage(Page):
    """What is shown: each signed-in tablet with who is at it."""

    tablets: tuple[tuple[TabletView, str], ...]
    name_form: TabletNameForm
    end_form: TabletEndForm
    usual_names: tuple[str, ...]
    served_at: str
    is_secure: bool
    tokens: tuple[TokenView, ...]
    token_form: TokenForm
    made: TokenMade | None
    sign_ins: Sequence[SignInLine]

    @property
    def others(self) -> list[tuple[TabletView, str]]:
        """All but this one."""
        return [(one, who) for one, who in self.tablets if not one.is_this]


@require_safe
def tablets(request: HttpRequest) -> HttpResponse:
    """Who is signed in where."""
    return _page(request, None)


@acts(TabletNameForm, lambda request, form: _page(request, form))
def name_tablet(act: SentAct[TabletNameForm]) -> HttpResponse:
    """Say what this tablet is called."""
    act.request.session[NAME] = name_it(act.form.asked(""), **act.mark)
    return see("tablets")


@acts(TabletEndForm, lambda request, form: _page(request, form))
def end(act: SentAct[TabletEndForm]) -> HttpResponse:
    """Sign a tablet out; what it holds unsent stays on it. One that was left signed in signs no other out."""
    allowed(act.mark["by"], "tablet ended")
    prove(act, "end_proof")
    ended = end_session(act.request, act.form.checked()["mark"])
    if ended is None:
        # Signed out already, by somebody or by a second tap: there is nothing more to do.
        return see("tablets")
    end_tablet(TabletRequest(ended.name or worded("a tablet"), _names().get(ended.person, "")), **act.mark)
    return see("tablets")


@acts(TokenForm, lambda request, form: _page(request, form))
def make(act: SentAct[TokenForm]) -> HttpResponse:
    """Make a token, and tell it this once: it opens from anywhere in the network, long after this tablet was put down."""
    prove(act, "token_proof")
    return _page(act.request, None, make_token(act.form.asked(), **act.mark))


@acts(TokenEndForm, lambda request, form: _page(request, form))
def token_ends(act: SentAct[TokenEndForm]) -> HttpResponse:
    """End a token at once."""
    end_token(act.form.asked(), **act.mark)
    return see("tablets")


def _names() -> dict[int, str]:
    return {one.id: one.name for one in people()}


def _page(request: HttpRequest, form: BenchForm | None, made: TokenMade | None = None) -> HttpResponse:
    names, who = _names(), by(request)
    sign_ins = cast(Callable[[], Sequence[SignInLine]], import_string(settings.SIGN_INS))
    is_owner = any(one.id == who and one.role == OWNER for one in people())
    # Whoever has left is signed in nowhere, though their session lies there still.
    found = [(one, names[one.person]) for one in signed_in_tablets(request) if one.person in names]
    page = TabletsPage(
        tablets=tuple(found),
        name_form=own_form(form, TabletNameForm),
        end_form=own_form(form, TabletEndForm),
        usual_names=USUAL_NAMES,
        served_at=request.get_host(),
        is_secure=request.is_secure(),
        tokens=tokens_of(who, now()),
        token_form=own_form(form, TokenForm),
        made=made,
        sign_ins=sign_ins() if is_owner else (),
    )
    return screen(request, "tablets/tablets.html", page, form, frame_of(request, "tablets", "Tablets"))
