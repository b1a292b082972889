"""Sheets of paper on the screen's side: a PDF that the browser shows or prints."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.workshop.print_sheet import print_hang_tag, print_sheet


@require_safe
def sheet_of_job(request: HttpRequest, job: int, sheet: str) -> HttpResponse:
    """Show a sheet of a job."""
    return _pdf(print_sheet(sheet, job, timezone.now()), f"{sheet}-{job}.pdf")


@require_safe
def hang_tag(request: HttpRequest, tag: str) -> HttpResponse:
    """Show a bike's hang tag; its code opens the bike at the address that this screen was opened at."""
    return _pdf(print_hang_tag(tag, request.build_absolute_uri("/")), f"hang-tag-{tag.upper()}.pdf")


def _pdf(content: bytes, name: str) -> HttpResponse:
    # A browser's own viewer needs styles that the pages' policy forbids; a PDF runs nothing in this place.
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Content-Security-Policy": "frame-ancestors 'none'",
    }
    return HttpResponse(content, content_type="application/pdf", headers=headers)
