"""What is asked of a workshop: name, country, money, stands, open days."""

from collections.abc import Mapping
from decimal import Decimal

from django.http import QueryDict

from pinchbolt.bench.fields import Figure, Money, Picked, Words
from pinchbolt.bench.week_form import WeekForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.open_workshop import TermsRequest
from pinchbolt.workshop.common.trade_tables import tables

STANDS = ("1", "2", "3", "4", "5", "6")
TAXES = ("usual", "other", "none")


class TermsForm(WeekForm):
    """The workshop itself."""

    name = Words(worded("name"))
    town = Words(worded("town"))
    country = Picked("country")
    currency = Words(worded("currency"))
    labour_an_hour = Money(worded("labour an hour"))
    tax = Picked("tax")
    tax_percent = Figure(worded("tax"), "%")
    stands = Picked("stands")

    def __init__(self, data: QueryDict | None = None) -> None:
        super().__init__(data, initial={"country": "GB", "tax": "usual", "stands": "2"})

    def terms(self) -> TermsRequest:
        """Return the request for the use case.

        Raises:
            InputRefused: A field can't be read, or the country has no usual tax.
        """
        values = self.checked()
        return TermsRequest(
            name=values["name"],
            town=values["town"],
            country=values["country"],
            currency=values["currency"],
            labour_an_hour=values["labour_an_hour"] if values["labour_an_hour"] is not None else Decimal(0),
            tax_percent=self._tax(values),
            stands=int(values["stands"]) if str(values["stands"]).isdigit() else 0,
            open_days=self.open_days(),
        )

    def _tax(self, values: Mapping[str, object]) -> float | None:
        """The rate: the country's usual one, one that was typed, or none."""
        if values["tax"] == "none":
            return None
        if values["tax"] == "other":
            typed = values["tax_percent"]
            return float(str(typed)) if typed is not None else self._say_the_rate(worded("No rate was typed"))
        row = tables().countries.get(str(values["country"]))
        return (
            row.tax
            if row and row.tax is not None
            else self._say_the_rate(worded("There is no one usual rate there"))
        )

    def _say_the_rate(self, why: str) -> float:
        sentence = worded("{why}: tap other and type the rate, or none.", why=why)
        raise InputRefused(sentence, {"tax": sentence})
