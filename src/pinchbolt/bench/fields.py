"""Form fields that speak in plain sentences."""

import re
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from math import isfinite

from django import forms
from django.core.exceptions import ValidationError

from pinchbolt.values.about import unit_words
from pinchbolt.values.money import sets_thousands_by_points
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import has_workshop, terms

_COUNTS = ("number", "numbers", "money")


class Words(forms.CharField):
    """Text as said; its length is the use case's affair, which answers with a sentence."""

    def __init__(self, label: str, *, rows: int = 1, **more: object) -> None:
        widget = (
            forms.Textarea(attrs={"rows": rows})
            if rows > 1
            else forms.TextInput(attrs={"autocomplete": "off"})
        )
        super().__init__(label=label, required=False, widget=widget, **more)  # type: ignore[arg-type]


class Figure(forms.Field):
    """A number as a mechanic writes it: point or comma, thousands set apart by blanks; empty is None."""

    def __init__(self, label: str, unit: str, **more: object) -> None:
        self.told_unit = unit
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label=label, required=False, widget=widget, **more)  # type: ignore[arg-type]

    @property
    def unit(self) -> str:
        """The unit as a refusal names it."""
        return self.told_unit

    @property
    def beside(self) -> str:
        """The unit as it stands beside the label: nothing for a bare count, or where the label says it already."""
        is_said = self.unit in _COUNTS or self.unit in str(self.label).split()
        return "" if is_said else unit_words(self.unit)

    def to_python(self, value: object) -> float | None:
        """Return the number."""
        text = plain_figure(value)
        if not text:
            return None
        try:
            number = float(text)
        except ValueError:
            number = float("nan")
        if not isfinite(number):
            raise ValidationError(
                worded(
                    '"{value}": a number in {unit} is expected. Type the figures only.',
                    value=str(value)[:20],
                    unit=self.unit,
                )
            )
        return number


class Measure(Figure):
    """A figure, or words with a unit such as "12 1/16 in": those are the use case's to read."""

    def to_python(self, value: object) -> float | str | None:  # type: ignore[override]
        """Return the number, or the words."""
        text = str(value if value is not None else "").strip()
        if any(mark.isalpha() or mark in '/"%″' for mark in text):
            return text[:40]
        return super().to_python(value)


class Money(Figure):
    """An amount of money, exact; in the shop's currency, where nothing else is said."""

    def __init__(self, label: str, unit: str = "", **more: object) -> None:
        super().__init__(label, unit, **more)

    @property
    def unit(self) -> str:
        """The shop's currency; before a workshop is opened, money."""
        return self.told_unit or (terms().currency if has_workshop() else "money")

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override]
        """Return the amount."""
        text = plain_figure(str(value if value is not None else "").strip(" \N{NO-BREAK SPACE}£€$"))
        if not text:
            return None
        # 1.234 is a thousand and more where money is written so, and never 1 and a bit.
        if (
            _THOUSANDS_BY_POINTS.fullmatch(text)
            and has_workshop()
            and sets_thousands_by_points(terms().country)
        ):
            text = text.replace(".", "")
        try:
            amount = Decimal(text)
        except InvalidOperation:
            amount = Decimal("NaN")
        if not amount.is_finite():
            raise ValidationError(
                worded(
                    '"{value}": an amount in {unit} is expected, such as 40 or 39.50.',
                    value=str(value)[:20],
                    unit=self.unit,
                )
            )
        return amount


class Whole(Figure):
    """A count."""

    def to_python(self, value: object) -> int | None:
        """Return the count."""
        number = super().to_python(value)
        if number is None:
            return None
        if number != int(number):
            raise ValidationError(
                worded(
                    "{label} is {number:g}: whole {unit} are counted. Type it again.",
                    label=self.label,
                    number=number,
                    unit=self.unit,
                )
            )
        return int(number)


class Picked(forms.CharField):
    """One of a few big buttons; the use case says what is allowed."""

    def __init__(self, label: str, **more: object) -> None:
        super().__init__(label=label, required=False, widget=forms.HiddenInput(), **more)  # type: ignore[arg-type]


class OneOf(forms.CharField):
    """One of a few big buttons that the page draws: (value, words) each; the use case says what is allowed."""

    def __init__(self, label: str, choices: Sequence[tuple[str, str]] = (), **more: object) -> None:
        self.choices = choices
        super().__init__(label=label, required=False, **more)  # type: ignore[arg-type]


_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?")
_THOUSANDS_BY_POINTS = re.compile(r"[1-9]\d{0,2}(\.\d{3})+(,\d+)?")


def plain_figure(value: object) -> str:
    """Return a typed figure as a computer reads it: '1,250' is a thousand and more, '1,8' is one and eight tenths."""
    text = "".join(str(value if value is not None else "").split())
    if _THOUSANDS.fullmatch(text):
        return text.replace(",", "")
    if "," in text and _THOUSANDS_BY_POINTS.fullmatch(text):
        return text.replace(".", "").replace(",", ".")
    return text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
