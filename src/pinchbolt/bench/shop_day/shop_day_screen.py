"""The shop day, and finding a bike."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.leaving.call_back import CallBackDue
from pinchbolt.workshop.leaving.shop_day import ShopDay
from pinchbolt.workshop.leaving.shop_day import shop_day as day_of

# Owners are called about what falls due within two weeks; later ones would only push today's off the screen.
_CALLED_AHEAD = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class ShopDayPage(Page):
    """What is shown: the shop day."""

    title: str
    day: ShopDay
    today: str
    call_backs: Sequence[CallBackDue]
    wanted: str
    leads: str


@require_safe
def shop_day(request: HttpRequest) -> HttpResponse:
    """The day at a glance."""
    moment = now()
    day = day_of(moment)
    today = timezone.localtime(moment)
    soon = [due for due in day.call_backs if due.call_back.day <= today.date() + _CALLED_AHEAD]
    return screen(
        request,
        "shop_day/shop_day.html",
        ShopDayPage(
            title="shop day",
            day=day,
            today=f"{today:%A} {today.day} {today:%B}",
            call_backs=soon,
            wanted="",
            leads="",
        ),
    )
