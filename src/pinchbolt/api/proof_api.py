"""How things were bought, and claims, by JSON: what is looked at; what is written stands with the other acts."""

from typing import Annotated

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Path, Router
from pydantic import AfterValidator

from pinchbolt.api.bodies import MOST_INT, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.proof.claim_sheet import ClaimSheetView, claim_sheet
from pinchbolt.workshop.proof.keep_photo import proof_bytes
from pinchbolt.workshop.proof.open_claim import ClaimView, claims
from pinchbolt.workshop.proof.print_claim import print_claim
from pinchbolt.workshop.proof.say_warranty import WarrantyView, warranties, warranty_of
from pinchbolt.workshop.proof.things import thing_of

ANSWERS: dict[str, object] = {
    "see_claims": tuple[ClaimView, ...],
    "see_claim": ClaimSheetView,
    "see_warranties": tuple[WarrantyView, ...],
    "see_warranty": WarrantyView | None,
}

router = Router(tags=["look"])
Number = Annotated[int, Path(ge=1, le=MOST_INT)]
Kind = Annotated[str, Path(max_length=20), AfterValidator(writable)]


@router.get(
    "/claims", response=ANSWERED, operation_id="see_claims", summary=worded("Every claim, what is due first.")
)
def every_claim(request: HttpRequest) -> object:
    """Open ones before those that are over."""
    return as_json(claims(local_day(timezone.now())))


@router.get(
    "/claim/{claim}",
    response=ANSWERED,
    operation_id="see_claim",
    summary=worded(
        "One claim with all that speaks for it: warranty, distance, readings, torques, "
        "photos, and what is lacking."
    ),
)
def one_claim(request: HttpRequest, claim: Number) -> object:
    """As its sheet says it."""
    return as_json(claim_sheet(claim, timezone.now()))


@router.get(
    "/claim/{claim}/sheet",
    response=ANSWERED,
    operation_id="print_claim",
    summary=worded("A claim's sheet as PDF."),
)
def on_paper(request: HttpRequest, claim: Number) -> HttpResponse:
    """With its photos."""
    return HttpResponse(print_claim(claim, timezone.now()), content_type="application/pdf")


@router.get(
    "/warranties",
    response=ANSWERED,
    operation_id="see_warranties",
    summary=worded("What is known of how things were bought, the one that ends soonest first."),
)
def every_warranty(request: HttpRequest) -> object:
    """For life and not known last."""
    return as_json(warranties(local_day(timezone.now())))


@router.get(
    "/warranties/{kind}/{id}",
    response=ANSWERED,
    operation_id="see_warranty",
    summary=worded("How one part, tool or instrument was bought; null where nobody said anything."),
)
def one_warranty(request: HttpRequest, kind: Kind, id: Number) -> object:
    """The newest word counts."""
    return as_json(warranty_of(thing_of(kind, id), local_day(timezone.now())))


@router.get(
    "/proof/{event}/photo",
    response=ANSWERED,
    operation_id="see_proof_photo",
    summary=worded("A photo kept beside an act, as JPEG."),
)
def photo(request: HttpRequest, event: Number) -> HttpResponse:
    """Of a marking, a receipt, or what broke."""
    return HttpResponse(proof_bytes(event), content_type="image/jpeg")
