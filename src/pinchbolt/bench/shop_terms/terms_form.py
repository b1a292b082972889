"""What is asked of a workshop: name, country, money, stands, open days."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Money, Picked, Words
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.acts.open_workshop import DAYS, OTHER, USUAL_DAYS, TermsRequest, TermsView
from pinchbolt.workshop.common.trade_tables import tables

STANDS = ("1", "2", "3", "4", "5", "6")
TAXES = ("usual", "other", "none")
_CLOSED = ("09:00", "17:30")


@dataclass(frozen=True, slots=True)
class DayField:
    """A day of the week on the page: open or not, from when to when."""

    day: str
    is_open: bool
    opens: str
    closes: str


class TermsForm(BenchForm):
    """The workshop itself."""

    name = Words("name")
    town = Words("town")
    country = Picked("country")
    currency = Words("currency")
    labour_an_hour = Money("labour an hour", "money")
    tax = Picked("tax")
    tax_percent = Figure("tax", "per cent")
    stands = Picked("stands")

    def __init__(self, data: QueryDict | None = None, now: TermsView | None = None) -> None:
        super().__init__(data, initial=_initial(now))
        self._days_now = (now.open_days if now else {}) or USUAL_DAYS
        for day in DAYS:
            self.fields[f"open_{day}"] = forms.BooleanField(required=False)
            for end in ("opens", "closes"):
                self.fields[f"{end}_{day}"] = forms.CharField(required=False, max_length=8)
        self.fields["open_days"] = forms.CharField(required=False)

    @property
    def days(self) -> list[DayField]:
        """The week as it stands on the page: as sent, else as it is."""
        told = []
        for day in DAYS:
            if self.is_bound:
                opens, closes = (str(self.data.get(f"{end}_{day}", "")) for end in ("opens", "closes"))
                told.append(DayField(day, bool(self.data.get(f"open_{day}")), opens, closes))
            else:
                opens, closes = self._days_now.get(day, _CLOSED)
                told.append(DayField(day, day in self._days_now, opens, closes))
        return told

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
            open_days={one.day: (one.opens, one.closes) for one in self.days if one.is_open},
        )

    def _tax(self, values: Mapping[str, object]) -> float | None:
        """The rate: the country's usual one, one that was typed, or none."""
        if values["tax"] == "none":
            return None
        if values["tax"] == "other":
            typed = values["tax_percent"]
            return float(str(typed)) if typed is not None else self._say_the_rate("No rate was typed")
        row = tables().countries.get(str(values["country"]))
        return (
            row.tax if row and row.tax is not None else self._say_the_rate("There is no one usual rate there")
        )

    def _say_the_rate(self, why: str) -> float:
        sentence = f"{why}: tap other and type the rate, or none."
        raise InputRefused(sentence, {"tax": sentence})


def _initial(now: TermsView | None) -> dict[str, object]:
    if now is None:
        return {"country": "GB", "tax": "usual", "stands": "2"}
    row = tables().countries.get(now.country)
    usual = row is not None and row.tax is not None and Decimal(str(row.tax)) == now.tax_percent
    return {
        "name": now.name,
        "town": now.town,
        "country": now.country or OTHER,
        "currency": "" if row else now.currency,
        "labour_an_hour": f"{now.labour_an_hour.normalize():f}",
        "tax": "none" if not now.tax_percent else "usual" if usual else "other",
        "tax_percent": "" if usual or not now.tax_percent else f"{now.tax_percent.normalize():f}",
        "stands": str(now.stands),
    }
