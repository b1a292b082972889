"""What was understood of a question, and the row whose words a value has."""

from dataclasses import dataclass

from pinchbolt.engines.fit._inputs import RuleInput
from pinchbolt.engines.fit._tables import FitTables, field_of


@dataclass(frozen=True, slots=True)
class MeantInput:
    """One thing that was understood: the rule's input, what it is called, the value and the value in words."""

    input: str
    name: str
    value: object
    words: str


def row_said(want: RuleInput, value: object, view: FitTables) -> object:
    return row_of(want.table, value, view, want.field)


def row_of(table: str, value: object, view: FitTables, field: str = "id") -> object:
    """The row whose words a value has; None where it has none."""
    rows = view.rows(table) if table else ()
    return next((row for row in rows if field_of(row, field) == value), None)
