"""What is typed in a row of a table, why, and which files are read again."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.fields import Picked, Words, plain_figure
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import SchoolRequest
from pinchbolt.workshop.settings.change_rows import ReadAgainRequest, RowRequest
from pinchbolt.workshop.settings.row_fields import TABLES

_FIGURES = ("figure", "whole", "money")
_TYPED = {one.name: one.sort for table in TABLES.values() for one in table.fields}


class RowForm(SettingForm):
    """A row as the workshop wants it: one field for each that any table has, and why."""

    form_id = "row"
    why = Words(worded("why"))
    row = forms.CharField(required=False)

    def __init__(self, data: QueryDict | None = None) -> None:
        super().__init__(data)
        for name in _TYPED:
            self.fields[name] = forms.CharField(required=False, strip=False)

    def asked(self, table: str, id: str, *, as_trade: bool = False) -> RowRequest:
        """Return the request for the use case; *as_trade* leaves every field as the trade table has it."""
        values = self.checked()
        return RowRequest(table, id, {} if as_trade else self.typed(), values["why"], values["seen"])

    def typed(self) -> dict[str, str]:
        """What stands in the fields, figures as a computer reads them."""
        return {name: self._text(name, sort) for name, sort in _TYPED.items() if name in self.data}

    def sent(self) -> dict[str, str]:
        """What stands in the fields, as it was typed."""
        return {name: " ".join(self._given(name)) for name in _TYPED if name in self.data}

    def _given(self, name: str) -> list[str]:
        return self.data.getlist(name) if isinstance(self.data, QueryDict) else [str(self.data[name])]

    def _text(self, name: str, sort: str) -> str:
        if sort == "minutes":
            return " ".join(plain_figure(one) for one in self._given(name)).strip()
        text = str(self.data.get(name, ""))
        return plain_figure(text) if sort in _FIGURES else text


class ReadAgainForm(SettingForm):
    """Files that were changed by hand."""

    def asked(self) -> ReadAgainRequest:
        """Return the request for the use case."""
        return ReadAgainRequest()


class SchoolForm(SettingForm):
    """When a chain is changed."""

    form_id = "school"
    school = Picked(worded("chains are changed"))

    def asked(self) -> SchoolRequest:
        """Return the request for the use case."""
        values = self.checked()
        return SchoolRequest(values["school"], values["seen"])
