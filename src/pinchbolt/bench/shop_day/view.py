"""The shop day, and finding a bike."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.bike_sheet import find_bikes
from pinchbolt.workshop.shop_day import shop_day as day_of


@require_safe
def shop_day(request: HttpRequest) -> HttpResponse:
    """The day at a glance; with ?find= the bikes of that tag, owner or frame number above it."""
    wanted = request.GET.get("find", "")
    return screen(
        request,
        "shop_day/shop_day.html",
        {"title": "shop day", "day": day_of(now()), "wanted": wanted[:60], "found": find_bikes(wanted)},
    )
