"""Rows of the tables as the settings show them: found by a word, one with the trade's beside it, and its history."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt import reference
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Event
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.write import file_of, own_row
from pinchbolt.values.about import unit_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop, terms
from pinchbolt.workshop.acts.setting_changes import PRICE_TABLES
from pinchbolt.workshop.common.trade_tables import own_files, tables_in_use
from pinchbolt.workshop.settings.row_fields import (
    TABLES,
    RowField,
    as_typed,
    fields_on,
    row_in,
    row_name,
    row_table,
    unit_of,
)

SHOWN_AT_MOST = 60


@dataclass(frozen=True, slots=True)
class RowLine:
    """A row in a list: its table and id, what it is called, its figures, and whether it is the workshop's own or changed by it."""

    table: str
    id: str
    name: str
    figures: str
    is_ours: bool


@dataclass(frozen=True, slots=True)
class FieldView:
    """A field with the trade's value and ours, as typed; `ours` is empty where it is as the trade table."""

    name: str
    words: str
    sort: str
    unit: str
    trade: str
    ours: str
    options: tuple[str, ...]

    @property
    def parts(self) -> tuple[str, ...]:
        """The three figures of minutes, each for a field of its own."""
        typed = self.ours.split()
        return (*typed, *([""] * (3 - len(typed))))[:3]


@dataclass(frozen=True, slots=True)
class PastView:
    """A change of the row: when, by whom, what it said of the row afterwards, and why."""

    event: int
    at: datetime
    by: str
    words: str
    why: str


@dataclass(frozen=True, slots=True)
class RowView:
    """A row to be changed."""

    table: str
    id: str
    name: str
    page: str
    fields: tuple[FieldView, ...]
    source: str
    certain: str
    note: str
    in_trade: bool
    past: tuple[PastView, ...]


def rows_found(words: str, only_ours: bool, tables: tuple[str, ...]) -> list[RowLine]:
    """Return rows of these tables in which every word stands, in the order of the tables; `only_ours` leaves out the trade's."""
    wanted = words.casefold().replace("-", " ").split()
    return [
        one
        for one in _lines(tables)
        if (one.is_ours or not only_ours)
        and all(word in f"{one.name} {one.id}".casefold().replace("-", " ") for word in wanted)
    ]


def counts() -> Mapping[str, tuple[int, int]]:
    """Return, by table, how many rows there are and how many of them are the workshop's own."""
    found: dict[str, tuple[int, int]] = {}
    for one in _lines(tuple(TABLES)):
        all_rows, ours = found.get(one.table, (0, 0))
        found[one.table] = (all_rows + 1, ours + one.is_ours)
    return found


def row_seen(table: str, id: str) -> RowView:
    """Return a row with the trade's values beside ours.

    Raises:
        NotFound: No such row.
    """
    row, trade = row_in(tables_in_use().tables, table, id), row_in(reference.tables(), table, id)
    if row is None:
        raise NotFound(worded('There is no row "{id}" there: find it by its name.', id=id[:60]))
    own = own_row(own_files().get(file_of(table), b""), table, (id,))
    shown = trade or row
    return RowView(
        table=table,
        id=id,
        name=row_name(table, row),
        page="prices" if table in PRICE_TABLES else "limits",
        fields=tuple(_field(table, row, trade, own, one) for one in fields_on(table, row)),
        source=shown.source,
        certain=shown.certain,
        note=shown.note,
        in_trade=trade is not None,
        past=tuple(_past(table, id)),
    )


def typed_then(event: int, table: str, id: str) -> Mapping[str, str]:
    """Return what a change of a row said, as it is typed: to take it once more."""
    said = next((one for one in _events(table, id) if one.pk == event), None)
    if said is None:
        raise NotFound(worded("There is no such change of this row. Choose one from its history."))
    fields = said.said["now"].get(f"{table}/{id}") or {}
    return {name: as_typed(value) for name, value in fields.items()}


def _field(table: str, row: Row, trade: Row | None, own: Mapping[str, object], one: RowField) -> FieldView:
    ours = as_typed(own[one.name]) if one.name in own else ""
    return FieldView(
        one.name,
        one.words,
        one.sort,
        terms().currency if one.sort == "money" else unit_of(table, row, one),
        as_typed(getattr(trade, one.name)) if trade is not None else "",
        ours if trade is not None else ours or as_typed(getattr(row, one.name)),
        one.options,
    )


def _lines(tables: tuple[str, ...]) -> Iterator[RowLine]:
    in_use = tables_in_use().tables
    for table in tables:
        rows: Mapping[str, Row] = getattr(in_use, row_table(table).attribute)
        for id, row in rows.items():
            yield RowLine(table, str(id), row_name(table, row), _figures(table, row), row.from_shop)


def _figures(table: str, row: Row) -> str:
    told = []
    for one in fields_on(table, row):
        value = getattr(row, one.name)
        if one.sort in ("figure", "whole", "money", "minutes") and value not in (None, ""):
            told += _figure_words(one, value, unit_words(unit_of(table, row, one)))
    if getattr(row, "offered", True) is False:
        return worded("not offered")
    return ", ".join(told)


def _figure_words(one: RowField, value: object, unit: str) -> list[str]:
    """A figure of a row in a list, each as it is said at the bench; nothing where there is nothing to say."""
    if isinstance(value, tuple):
        low, usual, high = value
        return [worded("usually {usual} minutes, {low} to {high}", usual=usual, low=low, high=high)]
    if one.name == "nights":
        return (
            [worded("{value} night{s} until it can be checked", value=value, s="" if value == 1 else "s")]
            if value
            else []
        )
    if one.name in ("recheck", "check_every_months"):
        words = worded("tried again") if one.name == "recheck" else "checked"
        return [
            worded(
                "{words} every {value}",
                words=words,
                value=worded("{value} months", value=value) if value != 1 else worded("month"),
            )
        ]
    told = money_of_shop(value) if isinstance(value, Decimal) else as_typed(value)
    return [f"{one.words} {told} {unit}".strip()]


def _past(table: str, id: str) -> Iterator[PastView]:
    for event in _events(table, id):
        fields = event.said["now"].get(f"{table}/{id}") or {}
        words = ", ".join(f"{name.replace('_', ' ')} {as_typed(value)}" for name, value in fields.items())
        yield PastView(
            event.pk,
            event.at,
            event.by.name,
            words or worded("as the trade table"),
            str(event.said.get("why", "")),
        )


def _events(table: str, id: str) -> list[Event]:
    rows = Event.objects.filter(kind__in=("row changed", "setting taken back"), said__table=table)
    return [
        one for one in rows.select_related("by").order_by("-pk")[:500] if f"{table}/{id}" in one.said["now"]
    ]
