"""people."""

from django.http import HttpRequest, HttpResponse

from pinchbolt.bench.shared import screen


def people(request: HttpRequest) -> HttpResponse:
    """people."""
    return screen(request, "people/people.html", {"title": "people"})
