"""Sums of every column of figures, so that no digit of a table changes unseen."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum

from pinchbolt.reference.files import INTERFACES
from pinchbolt.reference.read import NOT_IN_FILES, toml_key
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.tables_type import ATTRIBUTES, Tables

# Where a figure comes from is prose; its numbers (of standards, of clauses) are not data.
PROSE = frozenset({"source", "certain", "checked", "note"}) | NOT_IN_FILES
FIGURE = re.compile(r"\d+(?:\.\d+)?")


def column_sums(tables: Tables) -> dict[str, dict[str, str]]:
    """For each table and column: how many figures it holds, their sum and the sum of their squares.

    Figures inside text (an expression, a caution with a torque in it) count as well. The squares find two changes
    that cancel in the sum.

    Args:
        tables: Loaded tables. [-]

    Returns:
        Words by table and column; columns without a figure are left out. [-]

    Example:
        >>> from pinchbolt.reference import tables
        >>> column_sums(tables())["thread"]["pitch"]
        '11 figures, sum 11.75, squares 14.1525'
    """
    rows = {table: tuple(getattr(tables, attribute).values()) for attribute, table in ATTRIBUTES.items()}
    rows |= {kind: tables.interfaces[kind] for kind in INTERFACES}
    found = {table: dict(_columns(entries)) for table, entries in sorted(rows.items())}
    return {table: columns for table, columns in found.items() if columns}


def as_toml(sums: Mapping[str, Mapping[str, str]]) -> str:
    """The sums as a TOML file to keep beside the tests."""
    lines = [
        "# Made by: python -m pinchbolt.reference.check --sums",
        "# Figures in each column of the trade tables.",
    ]
    for table, columns in sums.items():
        lines += ["", f"[{table}]", *(f'{column} = "{words}"' for column, words in columns.items())]
    return "\n".join(lines) + "\n"


def _columns(rows: Iterable[Row]) -> Iterator[tuple[str, str]]:
    columns: dict[str, list[Decimal]] = {}
    for row in rows:
        for field in fields(row):
            if field.name not in PROSE:
                columns.setdefault(toml_key(field.name), []).extend(_figures(getattr(row, field.name)))
    for column, figures in columns.items():
        if figures:
            squares = sum(figure * figure for figure in figures)
            yield column, f"{len(figures)} figures, sum {_plain(sum(figures))}, squares {_plain(squares)}"


def _figures(value: object) -> Iterator[Decimal]:
    if isinstance(value, bool | Enum) or value is None:
        return
    if isinstance(value, int | float | Decimal):
        yield Decimal(str(value))
    elif isinstance(value, str):
        yield from (Decimal(figure) for figure in FIGURE.findall(value))
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _figures(name)
            yield from _figures(inner)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from _figures(getattr(value, field.name))
    elif isinstance(value, Iterable):
        for inner in value:
            yield from _figures(inner)


def _plain(figure: Decimal | int) -> str:
    return f"{Decimal(figure).normalize():f}"
