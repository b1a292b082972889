"""A stage that many tests begin from is reached by the use cases once; after that its rows are laid down again."""

import copy
import functools
import hashlib
import os
from collections.abc import Callable
from typing import Any, NamedTuple, ParamSpec, TypeVar

from django.db import connection

from pinchbolt.workshop.common.trade_tables import tables_in_use

P = ParamSpec("P")
R = TypeVar("R")
# Every row of every table, by its table and what numbers it there.
_Rows = dict[str, dict[Any, tuple[Any, ...]]]
_Statements = tuple[tuple[str, list[tuple[Any, ...]]], ...]
# Set where each stage has to be reached by the program itself, as under planted faults.
ANEW = "PINCHBOLT_STAGES_ANEW"
_SEQUENCES = "sqlite_sequence"
# Who is signed in, and salted hashes: other ones each time, and no stage looks at them.
_SIGNED_IN = ("django_session",)
_SALTED = ("password", "pin", "last_login")


class _Reached(NamedTuple):
    """The statements that a stage comes to, what it answered, and what it was told as it stood after."""

    statements: _Statements
    answer: Any
    told: tuple[Any, ...]


class _Table(NamedTuple):
    """How a table is read, and how a value goes into each column; the first column numbers the rows."""

    name: str
    columns: tuple[str, ...]
    puts: tuple[str, ...]
    read: str


_reached: dict[str, _Reached] = {}


def kept(stage: Callable[P, R]) -> Callable[P, R]:
    """Let *stage* be reached once for all that it begins with: every row of records and own tables, and what it is told.

    What it is told are values and stories; a story's marks go on as if it had been reached anew. Outside of a test's
    transaction, and under `ANEW`, it is reached anew each time.
    """

    @functools.wraps(stage)
    def reach(*told: P.args, **named: P.kwargs) -> R:
        if not connection.in_atomic_block or os.environ.get(ANEW):
            return stage(*told, **named)
        before = _rows()
        by_rows = (tables_in_use().version, _as_a_stage_sees(before))
        words = repr((stage.__module__, stage.__qualname__, told, named, by_rows))
        mark = hashlib.blake2b(words.encode()).hexdigest()
        found = _reached.get(mark)
        if found is None:
            answer = stage(*told, **named)
            # The story that was told is the one that is answered: copied as one.
            after, kept_answer = copy.deepcopy((told, answer))
            _reached[mark] = _Reached(_statements(before, _rows()), kept_answer, after)
            return answer
        cursor = _cursor()
        for statement, rows in found.statements:
            cursor.executemany(statement, rows)
        after, kept_answer = copy.deepcopy((found.told, found.answer))
        for mine, then in zip(told, after, strict=True):
            if hasattr(mine, "marks"):
                mine.marks = then.marks
            if then is kept_answer:
                kept_answer = mine
        return kept_answer

    return reach


def _cursor() -> Any:
    """A cursor of the driver: what is kept is none of the questions that a test counts."""
    connection.ensure_connection()
    return connection.connection.cursor()


@functools.cache
def _tables() -> tuple[_Table, ...]:
    return _of_postgresql() if connection.vendor == "postgresql" else _of_sqlite()


def _of_sqlite() -> tuple[_Table, ...]:
    cursor, found = _cursor(), []
    for (name,) in cursor.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    ).fetchall():
        number = "rowid" if name != _SEQUENCES else "row_number() OVER (ORDER BY name)"
        columns = [row[1] for row in cursor.execute(f'PRAGMA table_info("{name}")')]
        # The plus hides the declared type: what is stored is read as it is stored.
        read = ", ".join([number, *(f'+"{column}"' for column in columns)])
        puts = ("?",) * (len(columns) + 1)
        found.append(_Table(name, ("rowid", *columns), puts, f'SELECT {read} FROM "{name}" ORDER BY 1'))
    return tuple(found)


def _of_postgresql() -> tuple[_Table, ...]:
    """Every value is read and written as text. A number that was given is not given again, so no sequence is laid down."""
    cursor = _cursor()
    cursor.execute(
        "SELECT c.relname, a.attname, format_type(a.atttypid, a.atttypmod), coalesce(i.indisprimary, false) "
        "FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped "
        "LEFT JOIN pg_index i ON i.indrelid = c.oid AND i.indisprimary AND a.attnum = ANY (i.indkey) "
        "WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace ORDER BY 1, 4 DESC, a.attnum"
    )
    by_table: dict[str, list[tuple[str, str]]] = {}
    for name, column, of_type, _ in cursor.fetchall():
        by_table.setdefault(name, []).append((column, of_type))
    found = []
    for name, columns in by_table.items():
        read = ", ".join(f'"{column}"::text' for column, _ in columns)
        first = columns[0][0]
        puts = tuple(f"%s::{of_type}" for _, of_type in columns)
        names = tuple(column for column, _ in columns)
        found.append(_Table(name, names, puts, f'SELECT {read} FROM "{name}" ORDER BY "{first}"'))
    return tuple(found)


def _rows() -> _Rows:
    cursor, found = _cursor(), {}
    for table in _tables():
        cursor.execute(table.read)
        found[table.name] = {row[0]: row[1:] for row in cursor.fetchall()}
    return found


def _as_a_stage_sees(rows: _Rows) -> _Rows:
    """The rows without what is another each time."""
    seen = {name: here for name, here in rows.items() if name not in _SIGNED_IN}
    for table in _tables():
        at = [place for place, column in enumerate(table.columns[1:]) if column in _SALTED]
        if at:
            seen[table.name] = {
                number: tuple(value for place, value in enumerate(row) if place not in at)
                for number, row in rows[table.name].items()
            }
    return seen


def _statements(before: _Rows, after: _Rows) -> _Statements:
    """What leads from one state to the other: rows that came, columns that changed, rows that went, numbers that were given."""
    found: list[tuple[str, list[tuple[Any, ...]]]] = []
    for name, columns, puts, _ in _tables():
        old, new = before[name], after[name]
        if old == new or name == _SEQUENCES:
            continue
        where = f"{columns[0]} = {puts[0]}"
        names = ", ".join(f'"{column}"' for column in columns)
        came = [(number, *row) for number, row in new.items() if number not in old]
        found.append((f'INSERT INTO "{name}" ({names}) VALUES ({", ".join(puts)})', came))
        for number, row in new.items():
            for column, put, was, now in zip(columns[1:], puts[1:], old.get(number, row), row, strict=True):
                if was != now:
                    found.append((f'UPDATE "{name}" SET "{column}" = {put} WHERE {where}', [(now, number)]))
        gone = [(number,) for number in old if number not in new]
        found.append((f'DELETE FROM "{name}" WHERE {where}', gone))
    if _SEQUENCES in after:
        found.append((f"DELETE FROM {_SEQUENCES}", [()]))
        given = list(after[_SEQUENCES].values())
        found.append((f"INSERT INTO {_SEQUENCES} (name, seq) VALUES (?, ?)", given))
    return tuple(each for each in found if each[1])
