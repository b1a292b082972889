"""How well it goes: one page, its pictures, and the same as CSV."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.drawing.kept_promises import kept_promises
from pinchbolt.values.wording import worded
from pinchbolt.workshop.day.how_well import HowWell, how_well_csv, since
from pinchbolt.workshop.day.how_well import how_well as seen_well


@dataclass(frozen=True, slots=True)
class HowWellPage(Page):
    """What is shown: how well it goes."""

    title: str
    seen: HowWell
    since: str
    picture: SafeString


@require_safe
def how_well(request: HttpRequest) -> HttpResponse:
    """How well it goes."""
    seen = seen_well(now())
    drawn = kept_promises([(one.told, one.kept, one.least, one.most, one.count) for one in seen.bands])
    # Our own drawing of figures alone.
    page = HowWellPage(worded("how well it goes"), seen, since(now()), mark_safe(drawn))
    return screen(request, "how_well/how_well.html", page)


@require_safe
def how_well_file(request: HttpRequest) -> HttpResponse:
    """The same as CSV."""
    answer = HttpResponse(how_well_csv(now()), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = 'attachment; filename="how-well.csv"'
    return answer
