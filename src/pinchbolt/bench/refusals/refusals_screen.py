"""Addresses that do not exist, requests that can't be read, and our own faults, in plain sentences."""

import sys
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, PinchboltError, RecordsAway
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.records_away import TROUBLE, records_away


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    return _page(
        request,
        NotFound(worded('There is no page "{path}". Choose one from the shop day.', path=request.path[:60])),
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400, also where too much was sent."""
    refusal = InputRefused(
        worded(
            "The request can't be read, or it is larger than 2 MB: nothing was saved. Go back and send less."
        )
    )
    return _page(request, refusal, 400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    return _page(
        request,
        NotAllowed(worded("You may not open this page. Ask the owner of the workshop.")),
    )


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form does not come from a page of this sign-in."""
    refusal = NotAllowed(
        worded(
            "Somebody else signed in meanwhile, so nothing was saved. Go back, reload and send "
            "again; what you typed is kept."
        )
    )
    answer = _page(request, refusal)
    # A tablet that sends later asks for the form of the new sign-in and tries again.
    answer.headers["X-Act-Again"] = "form"
    return answer


def fault(request: HttpRequest) -> HttpResponse:
    """500, or 503 where the database is what failed: uses no database."""
    error = sys.exc_info()[1]
    if isinstance(error, TROUBLE):
        return away(records_away(error))
    return render(None, "refusals/fault.html", {"title": _FAULT, "sentence": _OUR_FAULT}, status=500)


def away(refusal: RecordsAway) -> HttpResponse:
    """503: the records can't be reached, so nothing is looked up for this page."""
    told = {
        "title": worded("Not saved"),
        "sentence": worded("{sentence} What you typed is kept in this tab.", sentence=refusal.sentence),
    }
    page = render(None, "refusals/fault.html", told, status=refusal.status)
    page.headers["Retry-After"] = "2"
    return page


def too_often() -> HttpResponse:
    """429: nothing is looked up for it, so that the others are answered."""
    told = {"title": worded("Too much at once"), "sentence": TOO_OFTEN}
    page = render(None, "refusals/fault.html", told, status=429)
    page.headers["Retry-After"] = "2"
    return page


TOO_OFTEN = worded(
    "This address asks too much at once, so nothing was saved. Wait a moment and try again; what you typed is kept."
)
_FAULT = worded("Something went wrong")
_OUR_FAULT = worded(
    "Not saved, and the fault is ours: it is in the program's log. Go back and try "
    "again. What you typed is still here."
)


def _page(request: HttpRequest, refusal: PinchboltError, status: int | None = None) -> HttpResponse:
    answer = render(request, "refused.html", {"refusal": refusal}, status=status or refusal.status)
    answer.headers["X-Refused"] = quote(refusal.sentence)
    return answer
