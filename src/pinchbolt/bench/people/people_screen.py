"""Everybody sets their own PIN; the owner of the workshop adds people and sets any PIN."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.people.people_form import NewPinForm, PersonForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.workshop.acts.manage_people import OWNER, ROLES, add_person, set_pin
from pinchbolt.workshop.acts.manage_people import people as everybody


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who works here."""
    return _page(request, None)


@require_POST
def new_pin(request: HttpRequest) -> HttpResponse:
    """Set a PIN."""
    form = NewPinForm(request.POST)
    with form.refusable():
        set_pin(form.asked(), by=by(request), key=form.key, now=now())
        return _done("pin")
    return _page(request, form)


@require_POST
def new_person(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    form = PersonForm(request.POST)
    with form.refusable():
        add_person(form.asked(), by=by(request), key=form.key, now=now())
        return _done("person")
    return _page(request, form)


def _done(what: str) -> HttpResponseRedirect:
    answer = HttpResponseRedirect(f"/people/?done={what}")
    answer.status_code = 303
    return answer


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    here = everybody()
    me = next((one for one in here if one.id == by(request)), None)
    context = {
        "title": "people",
        "people": here,
        "me": me,
        "is_owner": me is not None and me.role == OWNER,
        "roles": ROLES,
        "pin_form": form if isinstance(form, NewPinForm) else NewPinForm(),
        "person_form": form if isinstance(form, PersonForm) else PersonForm(),
        "whose": form.data.get("sign_in", "") if isinstance(form, NewPinForm) else (me.sign_in if me else ""),
        "picked_role": form.data.get("role", "") if isinstance(form, PersonForm) else "mechanic",
        "done": {"pin": "The PIN is set.", "person": "The person can sign in now."}.get(
            request.GET.get("done", ""), ""
        ),
    }
    return screen(request, "people/people.html", context, form)
