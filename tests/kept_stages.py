"""A stage that many tests begin from is reached by the use cases once; after that its rows are laid down again."""

import copy
import functools
import hashlib
import os
import sqlite3
from collections.abc import Callable
from typing import Any, NamedTuple, ParamSpec, TypeVar

from django.db import connection

from pinchbolt.workshop.common.trade_tables import tables_in_use

P = ParamSpec("P")
R = TypeVar("R")
# Every row of every table, by its table and its number.
_Rows = dict[str, dict[int, tuple[Any, ...]]]
# Set where each stage has to be reached by the program itself, as under planted faults.
ANEW = "PINCHBOLT_STAGES_ANEW"
_SEQUENCES = "sqlite_sequence"
_SIGNED_IN = ("django_session",)
_SALTED = ("password", "pin", "last_login")


class _Reached(NamedTuple):
    """The statements that a stage comes to, what it answered, and what it was told as it stood after."""

    statements: tuple[tuple[str, list[tuple[Any, ...]]], ...]
    answer: Any
    told: tuple[Any, ...]


_reached: dict[str, _Reached] = {}


def kept(stage: Callable[P, R]) -> Callable[P, R]:
    """Let *stage* be reached once for all that it begins with: every row of records and own tables, and what it is told.

    What it is told are values and stories; a story's marks go on as if it had been reached anew. Outside of a test's
    transaction, on PostgreSQL (a number that was rolled back is not given again) and under `ANEW` it is reached anew each time.
    """

    @functools.wraps(stage)
    def reach(*told: P.args, **named: P.kwargs) -> R:
        if connection.vendor != "sqlite" or not connection.in_atomic_block or os.environ.get(ANEW):
            return stage(*told, **named)
        records = _records()
        before = _rows(records)
        by_rows = (tables_in_use().version, _without_secrets(records, before))
        words = repr((stage.__module__, stage.__qualname__, told, named, by_rows))
        mark = hashlib.blake2b(words.encode()).hexdigest()
        found = _reached.get(mark)
        if found is None:
            answer = stage(*told, **named)
            # The story that was told is the one that is answered: copied as one.
            after, kept_answer = copy.deepcopy((told, answer))
            _reached[mark] = _Reached(_statements(records, before, _rows(records)), kept_answer, after)
            return answer
        for statement, rows in found.statements:
            records.executemany(statement, rows)
        after, kept_answer = copy.deepcopy((found.told, found.answer))
        for mine, then in zip(told, after, strict=True):
            if hasattr(mine, "marks"):
                mine.marks = then.marks
            if then is kept_answer:
                kept_answer = mine
        return kept_answer

    return reach


def _records() -> sqlite3.Connection:
    connection.ensure_connection()
    return connection.connection


@functools.cache
def _tables(schema: int, records: sqlite3.Connection) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Each table with the statement that reads it and its columns."""
    named = records.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
    found = []
    for (table,) in named:
        columns = tuple(row[1] for row in records.execute(f'PRAGMA table_info("{table}")'))
        # The plus hides the declared type: what is stored is read as it is stored.
        read = ", ".join(f'+"{column}"' for column in columns)
        number = "rowid" if table != _SEQUENCES else "row_number() OVER (ORDER BY name)"
        found.append((table, f'SELECT {number}, {read} FROM "{table}" ORDER BY 1', columns))
    return tuple(found)


def _rows(records: sqlite3.Connection) -> _Rows:
    return {
        table: {row[0]: row[1:] for row in records.execute(read)}
        for table, read, _ in _tables(_schema(records), records)
    }


def _without_secrets(records: sqlite3.Connection, rows: _Rows) -> _Rows:
    """The rows without who is signed in and without salted hashes: they are other ones each time and no stage looks at them."""
    seen = {table: here for table, here in rows.items() if table not in _SIGNED_IN}
    for table, _, columns in _tables(_schema(records), records):
        at = [place for place, column in enumerate(columns) if column in _SALTED]
        if at:
            seen[table] = {
                number: tuple(value for place, value in enumerate(row) if place not in at)
                for number, row in rows[table].items()
            }
    return seen


def _schema(records: sqlite3.Connection) -> int:
    """The number of the schema: a table that came or went changes it."""
    return int(records.execute("PRAGMA schema_version").fetchone()[0])


def _statements(
    records: sqlite3.Connection, before: _Rows, after: _Rows
) -> tuple[tuple[str, list[tuple[Any, ...]]], ...]:
    """What leads from one state to the other: rows that came, columns that changed, rows that went, numbers that were given."""
    found: list[tuple[str, list[tuple[Any, ...]]]] = []
    for table, _, columns in _tables(_schema(records), records):
        old, new = before[table], after[table]
        if old == new or table == _SEQUENCES:
            continue
        names = ", ".join(f'"{column}"' for column in ("rowid", *columns))
        came = [(number, *row) for number, row in new.items() if number not in old]
        places = ", ".join("?" * (len(columns) + 1))
        found.append((f'INSERT INTO "{table}" ({names}) VALUES ({places})', came))
        for number, row in new.items():
            for column, was, now in zip(columns, old.get(number, row), row, strict=True):
                if was != now:
                    found.append((f'UPDATE "{table}" SET "{column}" = ? WHERE rowid = ?', [(now, number)]))
        gone = [(number,) for number in old if number not in new]
        found.append((f'DELETE FROM "{table}" WHERE rowid = ?', gone))
    found.append((f'DELETE FROM "{_SEQUENCES}"', [()]))
    found.append((f'INSERT INTO "{_SEQUENCES}" (name, seq) VALUES (?, ?)', list(after[_SEQUENCES].values())))
    return tuple(found)
