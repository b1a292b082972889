"""Everybody sets their own PIN; the owner of the workshop adds people and sets any PIN."""

from dataclasses import dataclass
from typing import TypeVar

from django.contrib.auth import authenticate, login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.people.people_form import (
    LeaveForm,
    NewPassphraseForm,
    NewPinForm,
    PersonChangeForm,
    PersonForm,
)
from pinchbolt.bench.proof import prove
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import by, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import allowed
from pinchbolt.workshop.acts.change_people import (
    begun_by,
    bring_back,
    change_person,
    retire_person,
    retired,
    set_passphrase,
)
from pinchbolt.workshop.acts.manage_people import ROLES, PersonView, add_person, person_named, set_pin
from pinchbolt.workshop.acts.manage_people import people as everybody

F = TypeVar("F", bound=BenchForm)


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who works here."""
    return _page(request, None)


@acts(NewPinForm, lambda request, form: _page(request, form))
def new_pin(act: SentAct[NewPinForm]) -> HttpResponse:
    """Set a PIN."""
    asked = act.form.asked()
    _prove(act, asked.sign_in, "person added", "pin_proof")
    set_pin(asked, **act.mark)
    return _done("pin")


@acts(PersonForm, lambda request, form: _page(request, form))
def new_person(act: SentAct[PersonForm]) -> HttpResponse:
    """Add a person."""
    asked = act.form.asked()
    _prove(act, "", "person added", "person_proof")
    add_person(asked, **act.mark)
    return _done("person")


@acts(NewPassphraseForm, lambda request, form: _page(request, form))
def new_passphrase(act: SentAct[NewPassphraseForm]) -> HttpResponse:
    """Set a passphrase; whoever set their own stays signed in here."""
    asked = act.form.asked()
    _prove(act, asked.sign_in, "passphrase set", "passphrase_proof")
    set_passphrase(asked, **act.mark)
    me = person_named(asked.sign_in)
    if me.id == act.mark["by"]:
        person = authenticate(act.request, username=me.sign_in, password=asked.passphrase)
        if person is not None:
            login(act.request, person)
    return _done("passphrase")


@acts(PersonChangeForm, lambda request, form: _page(request, form))
def change(act: SentAct[PersonChangeForm]) -> HttpResponse:
    """Change a person's name, role and whether they may sign off."""
    change_person(act.form.asked(), **act.mark)
    return _done("changed")


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


def _prove(act: SentAct[F], whose: str, kind: str, field: str) -> None:
    """Ask for one's own passphrase before a way in is made or changed, whoever may do that; wrong tries count as at the sign-in.

    Raises:
        InputRefused: It is another.
        NotAllowed: Somebody else's, and their role may not.
    """
    me = next(one for one in everybody() if one.id == act.mark["by"])
    if whose.strip().lower() != me.sign_in:
        allowed(me.id, kind)
    prove(act, field)


def _done(what: str) -> HttpResponseRedirect:
    return see("people", query={"done": what})


_SAID = {
    "changed": worded("Saved."),
    "pin": worded("The PIN is set."),
    "person": worded("The person can sign in now."),
    "passphrase": worded("The passphrase is set; tablets that were signed in with the old one ask for it."),
    "left": worded("They are off the list. What they signed keeps their name."),
    "back": worded("They can sign in again."),
}


@dataclass(frozen=True, slots=True)
class PersonSeen:
    """A person, what stands in their fields, the bikes on stands that they began, and the form where it was refused."""

    one: PersonView
    typed: PersonView
    begun: tuple[str, ...]
    sent: PersonChangeForm | None


@dataclass(frozen=True, slots=True)
class PeoplePage(Page):
    """What is shown: the people."""

    people: tuple[PersonSeen, ...]
    me: PersonView | None
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
        people=tuple(_seen(one, form) for one in here),
        me=me,
        roles=ROLES,
        retired=retired(),
        pin_form=own_form(form, NewPinForm),
        passphrase_form=own_form(form, NewPassphraseForm),
        person_form=own_form(form, PersonForm),
        whose=form.data.get("sign_in", "") if isinstance(form, NewPinForm) else (me.sign_in if me else ""),
        picked_role=form.data.get("role", "") if isinstance(form, PersonForm) else "mechanic",
        done=_SAID.get(request.GET.get("done", ""), ""),
    )
    return screen(request, "people/people.html", page, form, frame_of(request, "people", "People"))


def _seen(one: PersonView, form: BenchForm | None) -> PersonSeen:
    """A person, with what was typed of them where it was refused."""
    sent = form if isinstance(form, PersonChangeForm) and form.data.get("sign_in") == one.sign_in else None
    typed = PersonView(
        one.id,
        one.sign_in,
        str(sent.data.get("name", "")) if sent else one.name,
        str(sent.data.get("role", "")) if sent else one.role,
        one.has_pin,
        bool(sent.data.get("may_sign")) if sent else one.may_sign,
        one.stand,
    )
    return PersonSeen(one, typed, begun_by(one.id), sent)
