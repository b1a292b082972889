"""Open days and hours, stands, and when the workshop is closed."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.open_days.open_days_form import ClosedForm, DaysForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.acts.describe_shop import ClosedView, close_days, closed_days, set_days
from pinchbolt.workshop.common.checks import local_day


@dataclass(frozen=True, slots=True)
class OpenDaysPage(Page):
    """What is shown: the week, the stands, the closed days to come."""

    days_form: DaysForm
    closed_form: ClosedForm
    closed: tuple[ClosedView, ...]


@require_safe
def open_days(request: HttpRequest) -> HttpResponse:
    """When the workshop is open."""
    return _page(request, None)


@acts(DaysForm, lambda request, form: _page(request, form))
def change_days(act: SentAct[DaysForm]) -> HttpResponse:
    """Change the week and the stands."""
    set_days(act.form.asked(), **act.mark)
    return see("open_days")


@acts(ClosedForm, lambda request, form: _page(request, form))
def close(act: SentAct[ClosedForm]) -> HttpResponse:
    """Write down when the workshop is closed."""
    close_days(act.form.asked(), **act.mark)
    return see("open_days", at="closed")


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    week = own_form(form, DaysForm)
    page = OpenDaysPage(week, own_form(form, ClosedForm), closed_days(local_day(now())))
    return screen(request, "open_days/open_days.html", page, form, frame_of(request, "days", "Open days"))
