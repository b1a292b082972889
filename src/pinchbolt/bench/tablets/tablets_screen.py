"""Tablets: who is signed in where, and ending it."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import screen
from pinchbolt.bench.tablets.sessions import NAME, TabletView, end_session, signed_in_tablets
from pinchbolt.bench.tablets.tablets_form import TabletEndForm, TabletNameForm
from pinchbolt.workshop.acts.acting import allowed
from pinchbolt.workshop.acts.manage_people import people
from pinchbolt.workshop.settings.safe_keeping import TabletRequest, end_tablet
from pinchbolt.workshop.settings.safe_keeping import name_tablet as name_it

USUAL_NAMES = ("bench 1", "bench 2", "counter", "phone")


@dataclass(frozen=True, slots=True)
class TabletsPage(Page):
    """What is shown: each signed-in tablet with who is at it."""

    tablets: tuple[tuple[TabletView, str], ...]
    name_form: TabletNameForm
    usual_names: tuple[str, ...]
    served_at: str
    is_secure: bool


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
    """Sign a tablet out; what it holds unsent stays on it."""
    allowed(act.mark["by"], "tablet ended")
    ended = end_session(act.request, act.form.checked()["mark"])
    if ended is None:
        # Signed out already, by somebody or by a second tap: there is nothing more to do.
        return see("tablets")
    end_tablet(TabletRequest(ended.name or "a tablet", _names().get(ended.person, "")), **act.mark)
    return see("tablets")


def _names() -> dict[int, str]:
    return {one.id: one.name for one in people()}


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    names = _names()
    # Whoever has left is signed in nowhere, though their session lies there still.
    found = [(one, names[one.person]) for one in signed_in_tablets(request) if one.person in names]
    page = TabletsPage(
        tablets=tuple(found),
        name_form=own_form(form, TabletNameForm),
        usual_names=USUAL_NAMES,
        served_at=request.get_host(),
        is_secure=request.is_secure(),
    )
    return screen(request, "tablets/tablets.html", page, form, frame_of(request, "tablets", "Tablets"))
