"""How the indexes of a long history are filled: told to SQLite, which chooses its way to an answer by that.

Left to itself it takes the first index that fits: of a bike's few acts it read all 200,000 of their kind. Counted by sample it
does no better, since it counts no more than a thousand rows of anything; counted in full it takes an entry that is mostly empty
(what an act corrects, whose a stay was) for one that nearly all rows share, and rare kinds of act for frequent ones. So the
counts of a grown workshop stand here, of each index what is typical, and hold for all: on a short history any way is quick,
and a year later nothing is chosen anew.
`python -m desk.filled HOME` writes the file from a home that `python -m ratios.size` grew.

Source: sqlite.org, "ANALYZE", fixed results of ANALYZE.
"""

from importlib.resources import files
from math import isqrt

from django.db import connection, transaction

FILE = "filled.txt"
_HEAD = "# Rows of each index, and how many share its first columns. Written by: python -m desk.filled HOME"
# Taken of a table that the grown workshop has nothing in: another one may fill it.
_FEW, _SHARE = 10_000, 10

Filled = tuple[str, str | None, str]
"""A table, an index of it (None: it has none), and its counts as SQLite reads them."""


def tell_the_planner() -> bool:
    """Write the counts beside the records, where they are not there yet; return whether they were written."""
    if connection.vendor != "sqlite":
        return False
    wanted = told()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE name LIKE 'sqlite_stat_'")
        there = {name for (name,) in cursor.fetchall()}
        if "sqlite_stat1" in there:
            cursor.execute("SELECT tbl, idx, stat FROM sqlite_stat1")
            if sorted(cursor.fetchall(), key=str) == sorted(wanted, key=str):
                return False
        # It makes the table of counts by itself alone.
        cursor.execute("ANALYZE django_migrations")
        for name in {"sqlite_stat1", *there}:
            cursor.execute(f'DELETE FROM "{name}"')
        cursor.executemany("INSERT INTO sqlite_stat1 VALUES (%s, %s, %s)", wanted)
        cursor.execute("ANALYZE sqlite_schema")
    return True


def told() -> list[Filled]:
    """Return the counts of the file."""
    text = files("pinchbolt.records").joinpath(FILE).read_text(encoding="utf-8")
    rows = [line.split(" ", 2) for line in text.splitlines() if not line.startswith("#")]
    return [(table, None if index == "-" else index, counts) for table, index, counts in rows]


def written_down() -> str:
    """Return the file's text, counted in the database that is open."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%%' ORDER BY name"
        )
        rows = [row for (table,) in cursor.fetchall() for row in _counted(table)]
    return "\n".join([_HEAD, *(f"{table} {index or '-'} {counts}" for table, index, counts in rows)]) + "\n"


def _counted(table: str) -> list[Filled]:
    with connection.cursor() as cursor:
        (many,) = cursor.execute(f'SELECT count(*) FROM "{table}"').fetchone()
        indexes = sorted(
            (name, unique)
            for _, name, unique, *_ in cursor.execute(f'PRAGMA index_list("{table}")').fetchall()
        )
        if not indexes:
            return [(table, None, str(many or _FEW))]
        return [(table, name, _counts(table, name, many, is_unique=bool(unique))) for name, unique in indexes]


def _counts(table: str, index: str, many: int, *, is_unique: bool) -> str:
    """Its rows, and how many of them share the first column, the first two, and so on."""
    with connection.cursor() as cursor:
        names = [name for *_, name in cursor.execute(f'PRAGMA index_info("{index}")').fetchall()]
        if not many:
            shared = [max(1, _SHARE // (place + 1)) for place in range(len(names))]
            return " ".join(map(str, [_FEW, *shared[:-1], 1 if is_unique else shared[-1]]))
        return " ".join(str(_typical(table, names[:last], many)) for last in range(len(names) + 1))


def _typical(table: str, columns: list[str], many: int) -> int:
    """How many rows share a value of these columns, in the middle of the values.

    Where most rows have none it is halfway to those, as a ratio: such a column is asked for a value and for none.
    """
    if not columns:
        return many
    named = ", ".join(f'"{name}"' for name in columns)
    there = " AND ".join(f'"{name}" IS NOT NULL' for name in columns)
    with connection.cursor() as cursor:
        rows = cursor.execute(
            f'SELECT n, count(*) FROM (SELECT count(*) AS n FROM "{table}" WHERE {there} GROUP BY {named}) GROUP BY n ORDER BY n'
        ).fetchall()
    sizes = [size for size, values in rows for _ in range(values)]
    middle = sizes[len(sizes) // 2] if sizes else 1
    empty = many - sum(sizes)
    return isqrt(middle * empty) if empty > many / 2 else middle
