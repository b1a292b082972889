"""A fault that shows only once rows are typed; the loader adds the file."""

from dataclasses import dataclass
from itertools import pairwise

from pinchbolt.reference.rows.base import Row
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class Complaint:
    """What is wrong with a field of a row, and what is allowed."""

    row: Row
    field: str
    wrong: str
    allowed: str


def in_order(row: Row, *fields: str, unit: str = "") -> list[Complaint]:
    """A complaint for each neighbouring pair of *fields* that falls; fields that are None are passed over."""
    given = [(field, value) for field in fields if (value := getattr(row, field)) is not None]
    behind = f" {unit}" if unit else ""
    return [
        Complaint(
            row,
            field,
            worded("is {value:g}{behind}", value=value, behind=behind),
            worded("not under {below}, which is {least:g}{behind}", below=below, least=least, behind=behind),
        )
        for (below, least), (field, value) in pairwise(given)
        if value < least
    ]


def at_least(row: Row, field: str, least: float, open_end: bool = False) -> list[Complaint]:
    """A complaint if a field that is given lies under *least* (or on it, where the end is open)."""
    value = getattr(row, field)
    if value is None or value > least or (value == least and not open_end):
        return []
    return [
        Complaint(
            row,
            field,
            worded("is {value:g}", value=value),
            worded("above {least:g}", least=least) if open_end else worded("{least:g} or more", least=least),
        )
    ]
