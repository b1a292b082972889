"""Everybody sets their own PIN; the owner of the workshop adds people and sets any PIN."""

from dataclasses import dataclass

from django.contrib.auth import authenticate, login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.people.people_form import LeaveForm, NewPassphraseForm, NewPinForm, PersonForm
from pinchbolt.bench.shared import by, screen
from pinchbolt.workshop.acts.change_people import bring_back, retire_person, retired, set_passphrase
from pinchbolt.workshop.acts.manage_people import OWNER, ROLES, PersonView, add_person, person_named, set_pin
from pinchbolt.workshop.acts.manage_people import people as everybody


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who works here."""
    return _page(request, None)


@acts(NewPinForm, lambda request, form: _page(request, form))
def new_pin(act: SentAct[NewPinForm]) -> HttpResponse:
    """Set a PIN."""
    set_pin(act.form.asked(), **act.mark)
    return _done("pin")


@acts(PersonForm, lambda request, form: _page(request, form))
def new_person(act: SentAct[PersonForm]) -> HttpResponse:
    """Add a person."""
    add_person(act.form.asked(), **act.mark)
    return _done("person")


@acts(NewPassphraseForm, lambda request, form: _page(request, form))
def new_passphrase(act: SentAct[NewPassphraseForm]) -> HttpResponse:
    """Set a passphrase; whoever set their own stays signed in here."""
    asked = act.form.asked()
    set_passphrase(asked, **act.mark)
    me = person_named(asked.sign_in)
    if me.id == act.mark["by"]:
        person = authenticate(act.request, username=me.sign_in, password=asked.passphrase)
        if person is not None:
            login(act.request, person)
    return _done("passphrase")


@acts(LeaveForm, lambda request, form: _page(request, form))
def leave(act: SentAct[LeaveForm]) -> HttpResponse:
    """Take a person off the list of those who work here."""
    retire_person(act.form.asked(), **act.mark)
    return _done("left")


@acts(LeaveForm, lambda request, form: _page(request, form))
def comes_back(act: SentAct[LeaveForm]) -> HttpResponse:
    """Put them on it again."""
    bring_back(act.form.asked(), **act.mark)
    return _done("back")


def _done(what: str) -> HttpResponseRedirect:
    return see("people", query={"done": what})


_SAID = {
    "pin": "The PIN is set.",
    "person": "The person can sign in now.",
    "passphrase": "The passphrase is set; tablets that were signed in with the old one ask for it.",
    "left": "They are off the list. What they signed keeps their name.",
    "back": "They can sign in again.",
}


@dataclass(frozen=True, slots=True)
class PeoplePage(Page):
    """What is shown: the people."""

    title: str
    people: tuple[PersonView, ...]
    me: PersonView | None
    is_owner: bool
    roles: tuple[str, ...]
    retired: tuple[PersonView, ...]
    pin_form: NewPinForm
    passphrase_form: NewPassphraseForm
    person_form: PersonForm
    whose: object
    picked_role: object
    done: str


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    here = everybody()
    me = next((one for one in here if one.id == by(request)), None)
    page = PeoplePage(
        title="people",
        people=here,
        me=me,
        is_owner=me is not None and me.role == OWNER,
        roles=ROLES,
        retired=retired(),
        pin_form=own_form(form, NewPinForm),
        passphrase_form=own_form(form, NewPassphraseForm),
        person_form=own_form(form, PersonForm),
        whose=form.data.get("sign_in", "") if isinstance(form, NewPinForm) else (me.sign_in if me else ""),
        picked_role=form.data.get("role", "") if isinstance(form, PersonForm) else "mechanic",
        done=_SAID.get(request.GET.get("done", ""), ""),
    )
    return screen(request, "people/people.html", page, form)
