"""How things were bought, and claims: the list of what is due, one thing, one claim."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.act import ActMark, SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.claims.claims_form import (
    LIFE,
    MONTHS,
    UNKNOWN,
    ClaimForm,
    ClaimMoveForm,
    ClaimPhotoForm,
    WarrantyForm,
)
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.proof.claim_sheet import ClaimSheetView, claim_sheet
from pinchbolt.workshop.proof.open_claim import (
    DROPPED,
    GRANTED,
    REFUSED,
    SENT,
    ClaimBackRequest,
    ClaimView,
    claims,
    move_claim,
    open_claim,
    photograph_claim,
    take_back_claim,
)
from pinchbolt.workshop.proof.say_warranty import (
    WarrantyBackRequest,
    WarrantyView,
    ending_soon,
    say_warranty,
    take_back_warranty,
    warranty_of,
)
from pinchbolt.workshop.proof.things import Thing, thing_of

_MOVES = ((SENT, worded("sent off")), (GRANTED, "granted"), (REFUSED, "refused"), (DROPPED, "dropped"))
_COVERS = ((UNKNOWN, "not known"), (MONTHS, "months"), (LIFE, "for life"))


@dataclass(frozen=True, slots=True)
class ClaimsPage(Page):
    """What is shown: claims, what is due first, and warranties that end soon."""

    title: str
    open_ones: Sequence[ClaimView]
    over: Sequence[ClaimView]
    ending: Sequence[WarrantyView]


@require_safe
def claims_page(request: HttpRequest) -> HttpResponse:
    """Claims and warranties of the workshop."""
    today = local_day(now())
    every = claims(today)
    page = ClaimsPage(
        title=worded("claims"),
        open_ones=[one for one in every if not one.is_over],
        over=[one for one in every if one.is_over],
        ending=ending_soon(today),
    )
    return screen(request, "claims/claims.html", page)


@dataclass(frozen=True, slots=True)
class ThingPage(Page):
    """What is shown: one thing, how it was bought, and its claims."""

    title: str
    thing: Thing
    known: WarrantyView | None
    about: Sequence[ClaimView]
    warranty_form: WarrantyForm
    claim_form: ClaimForm
    covers: Sequence[tuple[str, str]]

    @property
    def cover(self) -> object:
        """How long it is covered, as it was picked or is known."""
        told = self.warranty_form.data.get("cover")
        if told or self.known is None:
            return told or UNKNOWN
        return LIFE if self.known.for_life else MONTHS if self.known.months else UNKNOWN

    @property
    def is_open(self) -> bool:
        """Whether a claim about it is open."""
        return any(not one.is_over for one in self.about)


@require_safe
def thing(request: HttpRequest, kind: str, number: int) -> HttpResponse:
    """One thing: how it was bought, and what is claimed."""
    return _thing_page(request, kind, number)


@require_POST
def bought(request: HttpRequest, kind: str, number: int) -> HttpResponse:
    """How it was bought is written down, its receipt's photo beside it."""
    form = WarrantyForm(request.POST, request.FILES)
    mark = ActMark(by=by(request), key=form.key, now=now())
    with form.refusable():
        say_warranty(form.asked(kind, number), form.picture(), **mark)
        return see("claim_thing", kind=kind, number=number)
    return _thing_page(request, kind, number, form)


@acts(BenchForm, lambda request, form, kind, number: _thing_page(request, kind, number, form))
def bought_back(act: SentAct[BenchForm], kind: str, number: int) -> HttpResponse:
    """The last word about its warranty was wrong."""
    take_back_warranty(WarrantyBackRequest(kind, number), **act.mark)
    return see("claim_thing", kind=kind, number=number)


@acts(ClaimForm, lambda request, form, kind, number: _thing_page(request, kind, number, form))
def broke(act: SentAct[ClaimForm], kind: str, number: int) -> HttpResponse:
    """It broke: a claim is opened, and a tool goes off the board."""
    return see("claim", claim=open_claim(act.form.asked(kind, number), **act.mark).id)


def _thing_page(request: HttpRequest, kind: str, number: int, form: BenchForm | None = None) -> HttpResponse:
    today = local_day(now())
    found = thing_of(kind, number)
    page = ThingPage(
        title=worded("warranty and claims: {name}", name=found.name),
        thing=found,
        known=warranty_of(found, today),
        about=[one for one in claims(today) if (one.kind, one.thing) == (kind, number)],
        warranty_form=own_form(form, WarrantyForm),
        claim_form=own_form(form, ClaimForm),
        covers=_COVERS,
    )
    return screen(request, "claims/thing.html", page, form)


@dataclass(frozen=True, slots=True)
class ClaimPage(Page):
    """What is shown: one claim with all that speaks for it."""

    title: str
    sheet: ClaimSheetView
    claim: ClaimView
    photo_form: ClaimPhotoForm
    move_form: ClaimMoveForm
    moves: Sequence[tuple[str, str]]


@require_safe
def claim(request: HttpRequest, claim: int) -> HttpResponse:
    """One claim."""
    return _claim_page(request, claim)


@require_POST
def photo(request: HttpRequest, claim: int) -> HttpResponse:
    """A photo of what broke."""
    form = ClaimPhotoForm(request.POST, request.FILES)
    mark = ActMark(by=by(request), key=form.key, now=now())
    with form.refusable():
        photograph_claim(claim, form.checked()["words"], form.needed(), **mark)
        return see("claim", claim=claim)
    return _claim_page(request, claim, form)


@acts(ClaimMoveForm, lambda request, form, claim: _claim_page(request, claim, form))
def moved(act: SentAct[ClaimMoveForm], claim: int) -> HttpResponse:
    """What became of it."""
    move_claim(act.form.asked(claim), **act.mark)
    return see("claim", claim=claim)


@acts(BenchForm, lambda request, form, claim: _claim_page(request, claim, form))
def back(act: SentAct[BenchForm], claim: int) -> HttpResponse:
    """The last word was a wrong tap; where there is none, the claim itself."""
    before = next((one for one in claims(local_day(act.now)) if one.id == claim), None)
    take_back_claim(ClaimBackRequest(claim), **act.mark)
    return see("claim", claim=claim) if before is not None and before.words else see("claims")


def _claim_page(request: HttpRequest, claim: int, form: BenchForm | None = None) -> HttpResponse:
    sheet = claim_sheet(claim, now())
    page = ClaimPage(
        title=worded("claim {claim}", claim=claim),
        sheet=sheet,
        claim=sheet.claim,
        photo_form=own_form(form, ClaimPhotoForm),
        move_form=own_form(form, ClaimMoveForm),
        moves=_MOVES,
    )
    return screen(request, "claims/claim.html", page, form)
