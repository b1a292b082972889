"""The week, the stands, and a time when the workshop is closed."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.bench.week_form import WeekForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import ClosedRequest, DaysRequest
from pinchbolt.workshop.acts.open_workshop import terms_told
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.day.calendar import AddressesRequest
from pinchbolt.workshop.day.hours_in import DaysOffRequest, HoursRequest, HoursView, OddsRequest


class DaysForm(WeekForm, SettingForm):
    """Open days and stands."""

    form_id = "days"
    stands = Whole(worded("stands"), "stands")

    def __init__(self, data: QueryDict | None = None) -> None:
        now = terms_told()
        super().__init__(data, {"stands": now.stands}, now.open_days)

    def asked(self) -> DaysRequest:
        """Return the request for the use case."""
        values = self.checked()
        return DaysRequest(self.open_days(), values["stands"] or 0, values["seen"])


class ClosedForm(SettingForm):
    """First and last day, and why."""

    form_id = "closed"
    first = forms.DateField(
        label=worded("closed from"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    last = forms.DateField(label=worded("to"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    words = Words(worded("why"))

    def asked(self) -> ClosedRequest:
        """Return the request for the use case; one day alone is the first and the last."""
        values = self.checked()
        if values["first"] is None:
            sentence = worded("Fill in the first day on which you are closed.")
            raise InputRefused(sentence, {"first": sentence})
        return ClosedRequest(values["first"], values["last"] or values["first"], values["words"])


class OddsForm(SettingForm):
    """The odds at which this shop promises."""

    form_id = "odds"
    percent = Whole(worded("promised at"), worded("of 100"))

    def asked(self) -> OddsRequest:
        """Return the request for the use case."""
        return OddsRequest(self.checked()["percent"] or 0)


class AddressesForm(SettingForm):
    """New addresses for the calendars, and why."""

    form_id = "calendars"
    words = Words(worded("why"))

    def asked(self) -> AddressesRequest:
        """Return the request for the use case."""
        return AddressesRequest(self.checked()["words"])


class HoursForm(WeekForm, SettingForm):
    """A person's week, and what they leave to others."""

    sign_in = Picked("who")
    as_shop = forms.BooleanField(required=False)
    leaves = Words(worded("leaves to others"))

    def __init__(self, data: QueryDict | None = None, now: HoursView | None = None) -> None:
        names = ", ".join(now.leaves) if now is not None else ""
        super().__init__(data, {"leaves": names}, now.days if now is not None else None)

    @property
    def form_id(self) -> str:  # type: ignore[override]
        """Each person has a form of their own."""
        return f"hours-{self.data.get('sign_in', '')}"

    def asked(self) -> HoursRequest:
        """Return the request for the use case; operations are named by id or by name."""
        values = self.checked()
        by_name = {row.name.lower(): row.id for row in tables().operations.values()}
        told = [one.strip() for one in values["leaves"].split(",") if one.strip()]
        days = {} if values["as_shop"] else self.open_days()
        # No day at all would mean the shop's week: the very opposite.
        if not days and not values["as_shop"]:
            sentence = worded(
                "No day is ticked: tick one, or write down below from when to when they are away."
            )
            raise InputRefused(sentence, {"open_days": sentence})
        return HoursRequest(values["sign_in"], days, tuple(by_name.get(one.lower(), one) for one in told))


class AwayForm(ClosedForm):
    """Who is away, first and last day, and why."""

    form_id = "away"
    sign_in = Picked("who")

    def asked(self) -> DaysOffRequest:  # type: ignore[override]
        """Return the request for the use case."""
        sign_in = self.checked()["sign_in"]
        days = super().asked()
        return DaysOffRequest(sign_in, days.first, days.last, days.words)
