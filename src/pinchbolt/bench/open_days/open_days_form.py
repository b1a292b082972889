"""The week, the stands, and a time when the workshop is closed."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.fields import Whole, Words
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.bench.week_form import WeekForm
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.acts.describe_shop import ClosedRequest, DaysRequest
from pinchbolt.workshop.acts.open_workshop import terms_told


class DaysForm(WeekForm, SettingForm):
    """Open days and stands."""

    form_id = "days"
    stands = Whole("stands", "stands")

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
        label="closed from", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    last = forms.DateField(label="to", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    words = Words("why")

    def asked(self) -> ClosedRequest:
        """Return the request for the use case; one day alone is the first and the last."""
        values = self.checked()
        if values["first"] is None:
            sentence = "Fill in the first day on which you are closed."
            raise InputRefused(sentence, {"first": sentence})
        return ClosedRequest(values["first"], values["last"] or values["first"], values["words"])
