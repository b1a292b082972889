"""The week on a form: which days are open, from when to when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.workshop.acts.open_workshop import DAYS, USUAL_DAYS

_CLOSED = ("09:00", "17:30")


@dataclass(frozen=True, slots=True)
class DayField:
    """A day of the week on the page: open or not, from when to when."""

    day: str
    is_open: bool
    opens: str
    closes: str


class WeekForm(BenchForm):
    """A form with the days of the week."""

    def __init__(
        self,
        data: QueryDict | None = None,
        initial: Mapping[str, object] | None = None,
        days_now: Mapping[str, Sequence[str]] | None = None,
    ) -> None:
        super().__init__(data, initial=dict(initial or {}))
        self._days_now = days_now or USUAL_DAYS
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

    def open_days(self) -> dict[str, tuple[str, str]]:
        """The days that are open, each with its two times."""
        return {one.day: (one.opens, one.closes) for one in self.days if one.is_open}
