"""The shop day, and finding a bike."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.addresses import address
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import may_keep, now, screen
from pinchbolt.bench.tablets.sessions import signed_in_tablets
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import ClosedView, closed_days
from pinchbolt.workshop.leaving.call_back import CallBackDue
from pinchbolt.workshop.leaving.shop_day import ShopDay
from pinchbolt.workshop.leaving.shop_day import shop_day as day_of
from pinchbolt.workshop.settings.first_list import DoorView, FirstList, first_list, is_first_list_open

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
    first: FirstList | None
    first_doors: tuple[tuple[str, DoorView], ...]
    closed: ClosedView | None


# Where each door of the first list leads.
_DOORS = {
    "people": "people", "prices": "prices", "tools": "tool_board", "gauges": "tool_board", "letterhead": "shop_terms",
    "tablets": "tablets", "backup": "safe_keeping", "bikes": "keeping",
}  # fmt: skip


@require_safe
def shop_day(request: HttpRequest) -> HttpResponse:
    """The day at a glance."""
    moment = now()
    day = day_of(moment)
    today = timezone.localtime(moment)
    soon = [due for due in day.call_backs if due.call_back.day <= today.date() + _CALLED_AHEAD]
    first = _first_list(request, today.date())
    answer = screen(
        request,
        "shop_day/shop_day.html",
        ShopDayPage(
            title=worded("shop day"),
            day=day,
            today=f"{today:%A} {today.day} {today:%B}",
            call_backs=soon,
            wanted="",
            leads="",
            first=first,
            first_doors=tuple((address(_DOORS[one.id]), one) for one in (first.doors if first else ())),
            closed=next(iter(closed_days(today.date())), None),
        ),
    )
    return may_keep(answer, request, "day", *(job.job for job in day.jobs))


def _first_list(request: HttpRequest, today: date) -> FirstList | None:
    """The first list, while there is one; who is signed in elsewhere is asked only then."""
    if not is_first_list_open():
        return None
    return first_list(today, len(signed_in_tablets(request)), Path(settings.BACKUPS))
