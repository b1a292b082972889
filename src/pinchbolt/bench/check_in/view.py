"""check_in."""

from django.http import HttpRequest, HttpResponse

from pinchbolt.bench.shared import screen


def check_in(request: HttpRequest) -> HttpResponse:
    """check_in."""
    return screen(request, "check_in/check_in.html", {"title": "check_in"})
