"""Labour an hour, every shelf price by a factor, and an operation of the workshop's own."""

from datetime import date
from decimal import Decimal

from django import forms

from pinchbolt.bench.fields import Money, Picked, Words, plain_figure
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.money_terms import LabourRequest
from pinchbolt.workshop.settings.change_rows import FillRequest, OwnOperationRequest


class LabourForm(SettingForm):
    """What an hour costs, and its first day."""

    form_id = "labour"
    an_hour = Money(worded("labour an hour"))
    from_day = forms.DateField(
        label=worded("from"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    def asked(self, today: date) -> LabourRequest:
        """Return the request for the use case; without a day it counts from today."""
        values = self.checked()
        if values["an_hour"] is None:
            sentence = worded("Fill in what an hour of labour costs.")
            raise InputRefused(sentence, {"an_hour": sentence})
        return LabourRequest(values["an_hour"], values["from_day"] or today, values["seen"])


class FillForm(SettingForm):
    """A factor, and the step to which prices are rounded."""

    form_id = "fill"
    factor = Money(worded("times"), worded("a factor"))
    step = Money(worded("to the next"))

    def asked(self) -> FillRequest:
        """Return the request for the use case."""
        values = self.checked()
        if values["factor"] is None:
            sentence = worded("Fill in the factor, such as 1.17.")
            raise InputRefused(sentence, {"factor": sentence})
        return FillRequest(values["factor"], values["step"] or Decimal("0.50"))


class OwnOperationForm(SettingForm):
    """An operation that the trade table has not."""

    form_id = "own-operation"
    name = Words(worded("name on papers"))
    low = Words(worded("minutes, quick"))
    usual = Words(worded("minutes, usual"))
    high = Words(worded("minutes, slow"))
    fixed_price = Words(worded("or a fixed price"))
    tax_class = Picked(worded("tax class"))
    steps = Words(worded("steps, one a line"), rows=4)
    minutes = forms.CharField(required=False)

    def asked(self) -> OwnOperationRequest:
        """Return the request for the use case."""
        values = self.checked()
        minutes = " ".join(plain_figure(values[end]) for end in ("low", "usual", "high"))
        return OwnOperationRequest(
            name=values["name"],
            minutes=minutes.strip(),
            steps=values["steps"],
            fixed_price=plain_figure(values["fixed_price"]),
            tax_class=values["tax_class"] or "standard",
        )
