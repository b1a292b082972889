"""What is entered of the terms that bills and askings follow, and of tax."""

from datetime import date
from decimal import Decimal

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Picked, Whole, Words
from pinchbolt.workshop.acts.money_terms import BillTermsRequest, BillTermsView, TaxRequest


class BillTermsForm(BenchForm):
    """The terms; every field is sent, an empty text empties it."""

    address = Words("address", rows=2)
    phone = Words("phone")
    tax_number = Words("tax number")
    holds_days = Whole("an asked price holds", "days")
    remind_days = Whole("remind the owner after", "days")
    foot_words = Words("words at the foot of estimate and bill", rows=3)
    paper = Picked("paper")

    def asked(self) -> BillTermsRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return BillTermsRequest(**{name: said[name] for name in self.fields})


def as_they_are(told: BillTermsView) -> BillTermsForm:
    """Return the form with the terms as they stand."""
    return BillTermsForm(initial={name: getattr(told, name) for name in BillTermsForm.base_fields})


class TaxForm(BenchForm):
    """A tax rate of a class, from a day on."""

    tax_class = Picked("Which tax")
    percent = Money("Per cent", "per cent")
    from_day = forms.DateField(
        label="From",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "From which day it counts can't be read. Choose the day again."},
    )

    def asked(self, today: date) -> TaxRequest:
        """Return it as the use case takes it; without a day it counts from today."""
        said = self.checked()
        percent = said["percent"] if said["percent"] is not None else Decimal("NaN")
        return TaxRequest(said["tax_class"], percent, said["from_day"] or today)
