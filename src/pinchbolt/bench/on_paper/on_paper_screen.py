"""The addresses of the sheets on paper."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.shared import by, now
from pinchbolt.workshop.acts.lookups import bike_by_tag, job_by_id
from pinchbolt.workshop.leaving.print_sheet import (
    print_bill,
    print_bolt_round,
    print_hang_tag,
    print_home_tools,
    print_sheet,
)
from pinchbolt.workshop.proof.print_claim import print_claim
from pinchbolt.workshop.torque.home_tools import FEW
from pinchbolt.workshop.wheels.print_wheel import print_wheel


@require_safe
def sheet(request: HttpRequest, job: int, sheet: str) -> HttpResponse:
    """A sheet of a job as PDF, named by the bike's tag."""
    tag = job_by_id(job).bike.tag
    return _as_file(print_sheet(sheet, job, now(), by(request)), f"{tag}-{job}-{sheet}.pdf")


@require_safe
def bill_paper(request: HttpRequest, number: str, form: str) -> HttpResponse:
    """A bill as PDF, a page or a strip."""
    return _as_file(print_bill(number, now(), form, by(request)), f"bill-{number}.pdf")


@require_safe
def wheel_paper(request: HttpRequest, job: int, wheel: int) -> HttpResponse:
    """A wheel's sheet as PDF, to stay with the wheel."""
    tag = job_by_id(job).bike.tag
    return _as_file(print_wheel(job, wheel, now()), f"{tag}-{job}-{wheel}-sheet.pdf")


@require_safe
def claim_paper(request: HttpRequest, claim: int) -> HttpResponse:
    """A claim's sheet as PDF, with its photos."""
    return _as_file(print_claim(claim, now()), f"claim-{claim}.pdf")


@require_safe
def hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """A bike's hang tag; its code opens the bike at the address by which this tablet reached the workshop."""
    return _as_file(print_hang_tag(tag, request.build_absolute_uri("/")), f"{tag}-tag.pdf")


@require_safe
def bolt_round_sheet(request: HttpRequest, tag: str) -> HttpResponse:
    """A bike's bolt round as PDF."""
    pdf = print_bolt_round(tag, request.GET.get("which", "")[:20], now())
    return _as_file(pdf, f"{bike_by_tag(tag).tag}-bolt-round.pdf")


@require_safe
def home_tools_sheet(request: HttpRequest, tag: str) -> HttpResponse:
    """The few tools to have at home for the bikes of this bike's owner, as PDF."""
    return _as_file(print_home_tools(tag, FEW, now()), f"{bike_by_tag(tag).tag}-home-tools.pdf")


def _as_file(pdf: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )
