"""What follows from the country that a workshop is in."""

from typing import Literal

from pinchbolt.reference.rows.base import Row, entry


@entry
class CountryRow(Row):
    """A country: its money, its usual sales tax (None where it differs from town to town), and its sheets of paper."""

    id: str
    name: str
    currency: str
    tax: float | None = None
    tax_inside: bool = True
    paper: Literal["A4", "Letter"] = "A4"
