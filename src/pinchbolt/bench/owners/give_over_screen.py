"""Whose a bike is: through whose hands it went, and the page on which it changes them."""

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.fields import Whole, Words
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, owner_by_id
from pinchbolt.workshop.owners.find import BikeMatch, find_bikes
from pinchbolt.workshop.owners.give_over import (
    GiveOverRequest,
    GivingView,
    UndoGiveOverRequest,
    give_over,
    givings_of,
    undo_give_over,
)


class GiveOverForm(BenchForm):
    """Who has the bike, and since when."""

    to = Whole(worded("the new owner"), "owners")
    name = Words(worded("the new owner's name"))
    phone = Words(worded("their phone"))
    day = forms.DateField(
        label=worded("theirs from"),
        required=False,
        error_messages={"invalid": worded("A day is needed here. Choose it in the calendar.")},
    )

    def asked(self, tag: str) -> GiveOverRequest:
        """Return the request for the use case."""
        return GiveOverRequest(tag, **self.checked())


class UndoGivingForm(BenchForm):
    """The giving over to take back."""

    giving = Whole(worded("giving over"), "acts")

    def asked(self) -> UndoGiveOverRequest:
        """Return the request for the use case."""
        return UndoGiveOverRequest(self.checked()["giving"] or 0)


@dataclass(frozen=True, slots=True)
class BikeOwnersPage(Page):
    """What is shown: whose a bike is and was, and whose it may be from now on."""

    title: str
    tag: str
    words: str
    owner: str
    owner_id: int
    givings: tuple[GivingView, ...]
    give_form: GiveOverForm
    to: int | None
    to_name: str
    wanted: str
    found: tuple[BikeMatch, ...]
    done: str


@require_safe
def bike_owners(request: HttpRequest, tag: str) -> HttpResponse:
    """Whose the bike is; find the new owner (?find=), take one of them (?to=)."""
    return _owners_page(request, None, tag)


@acts(GiveOverForm, lambda request, form, tag: _owners_page(request, form, tag))
def give(act: SentAct[GiveOverForm], tag: str) -> HttpResponse:
    """It is somebody else's from a day on."""
    seen = give_over(act.form.asked(tag), **act.mark)
    said = worded(
        "Saved: {gone_to}'s from {day:%d %b %Y} on. Call-backs and letters go to them, by "
        "what they say yes to.",
        gone_to=seen.gone_to,
        day=seen.day,
    )
    return see("bike_owners", tag=seen.tag, query={"done": said[:200]})


@acts(UndoGivingForm, lambda request, form, tag: _owners_page(request, form, tag))
def take_giving_back(act: SentAct[UndoGivingForm], tag: str) -> HttpResponse:
    """It did not change hands."""
    undo_give_over(act.form.asked(), **act.mark)
    return see("bike_owners", tag=tag, query={"done": worded("Taken back: it is theirs again as it was.")})


def _owners_page(request: HttpRequest, form: BenchForm | None, tag: str) -> HttpResponse:
    bike = bike_by_tag(tag)
    sent = own_form(form, GiveOverForm)
    told = str((sent.data if form is not None else request.GET).get("to", ""))[:12]
    to = owner_by_id(int(told)) if told.isdecimal() else None
    wanted = request.GET.get("find", "")[:120]
    others = {one.owner_id: one for one in find_bikes(wanted, 40) if one.owner_id != bike.owner_id}
    page = BikeOwnersPage(
        title=worded("whose is {tag}", tag=bike.tag),
        tag=bike.tag,
        words=bike.words,
        owner=bike.owner.name,
        owner_id=bike.owner_id,
        givings=givings_of(bike),
        give_form=sent,
        to=to.pk if to is not None else None,
        to_name=to.name if to is not None else "",
        wanted=wanted,
        found=tuple(others.values())[:8],
        done=request.GET.get("done", "")[:200],
    )
    return screen(request, "owners/bike_owners.html", page, form)
