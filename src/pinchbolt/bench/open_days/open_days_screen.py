"""Open days and hours, stands, and when the workshop is closed."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.open_days.open_days_form import (
    AddressesForm,
    AwayForm,
    ClosedForm,
    DaysForm,
    HoursForm,
    OddsForm,
)
from pinchbolt.bench.page import Page
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import ClosedView, close_days, closed_days, set_days
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day.calendar import change_addresses
from pinchbolt.workshop.day.hours_in import (
    ODDS,
    HoursView,
    be_away,
    hours_told,
    promise_percent,
    set_hours,
    set_odds,
)


@dataclass(frozen=True, slots=True)
class OpenDaysPage(Page):
    """What is shown: the week, the stands, the closed days to come."""

    days_form: DaysForm
    closed_form: ClosedForm
    closed: tuple[ClosedView, ...]
    odds_form: OddsForm
    odds: tuple[int, ...]
    odds_now: int
    people: tuple["PersonHours", ...]
    away_form: AwayForm


@dataclass(frozen=True, slots=True)
class PersonHours:
    """A person's week on the page, with the form that changes it."""

    one: HoursView
    form: HoursForm


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


@acts(OddsForm, lambda request, form: _page(request, form))
def change_odds(act: SentAct[OddsForm]) -> HttpResponse:
    """Say at which odds this shop promises."""
    set_odds(act.form.asked(), **act.mark)
    return see("open_days", at="odds")


@acts(AddressesForm, lambda request, form: _page(request, form))
def new_addresses(act: SentAct[AddressesForm]) -> HttpResponse:
    """Give the calendars new addresses; they stand on the page of the day."""
    change_addresses(act.form.asked(), **act.mark)
    return see("day_ahead", at="calendars")


@acts(HoursForm, lambda request, form: _page(request, form))
def change_hours(act: SentAct[HoursForm]) -> HttpResponse:
    """Say when a person is in."""
    set_hours(act.form.asked(), **act.mark)
    return see("open_days", at="hours")


@acts(AwayForm, lambda request, form: _page(request, form))
def away(act: SentAct[AwayForm]) -> HttpResponse:
    """Write down when a person is away."""
    be_away(act.form.asked(), **act.mark)
    return see("open_days", at="hours")


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    week = own_form(form, DaysForm)
    today = local_day(now())
    sent = form if isinstance(form, HoursForm) else None
    people = tuple(
        PersonHours(
            one,
            sent if sent is not None and sent.data.get("sign_in") == one.sign_in else HoursForm(None, one),
        )
        for one in hours_told(today)
    )
    page = OpenDaysPage(
        week, own_form(form, ClosedForm), closed_days(today), own_form(form, OddsForm), ODDS, promise_percent(), people,
        own_form(form, AwayForm),
    )  # fmt: skip
    return screen(
        request, "open_days/open_days.html", page, form, frame_of(request, "days", worded("Open days"))
    )
