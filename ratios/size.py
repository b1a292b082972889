"""Fifty thousand bikes: grows the invented workshop's history by copies of itself.

    python -m ratios.size HOME --bikes 50000      HOME holds the invented workshop; it is changed for good

Each copy is a bike's whole past, with its own tag, owner, name and marks; what is in the workshop today stays as it is. Invented
like what it is copied from. `python -m ratios.load HOME` then times its pages.
"""

import argparse
import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

# What there is one of, however many bikes come: people, tools, gauges, settings.
_OF_THE_SHOP = {
    "workshop", "person", "person_groups", "person_user_permissions", "tool", "instrument", "toolcheck", "instrumentcheck",
    "paper", "binpart", "supplierpart", "taxrate", "supplier", "trainer", "peg",
}  # fmt: skip
# What follows from the rest, and is written anew from it.
_FOLLOWS = {"jobhere", "bikecallback", "lookup"}
# Columns that nobody else may share; a copy's carries its number. Owners of one name would be found together.
_NAMED = {
    ("bike", "tag"), ("event", "key"), ("paper", "name"), ("ridefile", "digest"), ("ride", "digest"), ("owner", "name"),
}  # fmt: skip


def grow(home: Path, bikes: int, say: Callable[[str], object] = print) -> None:
    """Copy the past of the bikes on record until there are so many."""
    began, worked = time.monotonic(), time.process_time()
    with closing(sqlite3.connect(home / "bench.sqlite3", isolation_level=None)) as there:
        for word in ("foreign_keys=OFF", "journal_mode=OFF", "synchronous=OFF", "cache_size=-1000000"):
            there.execute(f"PRAGMA {word}")
        tables, here = _tables(there), _still_here(there)
        (first,) = there.execute("SELECT count(*) FROM records_bike").fetchone()
        # An index is made in one go at the end: kept row by row it would be written many times over.
        indexes = there.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL AND tbl_name LIKE 'records_%'"
        ).fetchall()
        # What is asked of each row as it comes was asked of the first past; without an index it would read all events each time.
        asked = there.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND sql LIKE '%BEFORE INSERT%'"
        ).fetchall()
        there.execute("BEGIN")
        for kind, dropped in (("INDEX", indexes), ("TRIGGER", asked)):
            for name, _ in dropped:
                there.execute(f'DROP {kind} "{name}"')
        for number in range(1, max(0, -(-bikes // first) - 1) + 1):
            for table in tables:
                _copy(there, table, number)
            if number % 500 == 0:
                say(f"{(number + 1) * first:,} bikes, {time.monotonic() - began:.0f} s")
        _end_the_copies(there, here, tables)
        _calibrate(there)
        for _, made in (*indexes, *asked):
            there.execute(made)
        there.execute("COMMIT")
        there.execute("PRAGMA journal_mode=WAL")
        for name in ("bike", "job", "event", "reading", "finding"):
            (many,) = there.execute(f"SELECT count(*) FROM records_{name}").fetchone()
            say(f"{name}: {many:,}")
    opened(home)
    from pinchbolt.serving.doctor import rebuild

    rebuild()
    worked = time.process_time() - worked
    say(f"grown in {time.monotonic() - began:.0f} s, {worked:.0f} s of processor time")


def opened(home: Path) -> None:
    """Open the book of a home in this process."""
    os.environ["PINCHBOLT_HOME"] = str(home)
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinchbolt.serving.settings"
    import django

    django.setup()


class _Table:
    """A table to copy: its columns, which of them point to other copied rows, and the rows of the first past."""

    def __init__(self, there: sqlite3.Connection, name: str, copied: set[str], stride: int) -> None:
        self.name, self.stride = name, stride
        self.last = there.execute(f"SELECT coalesce(max(rowid), 0) FROM {name}").fetchone()[0]
        columns = there.execute(f"PRAGMA table_info({name})").fetchall()
        points = {row[3]: row[2] for row in there.execute(f"PRAGMA foreign_key_list({name})")}
        self.own = {row[1] for row in columns if row[5]}
        self.moved = {
            column
            for _, column, *_ in columns
            if points.get(column) in copied or (column in self.own and column not in points)
        } | ({"number"} if name == "records_bill" else set())
        self.columns = [row[1] for row in columns]
        short = name.removeprefix("records_")
        self.named = {column for column in self.columns if (short, column) in _NAMED}


def _tables(there: sqlite3.Connection) -> list[_Table]:
    names = {
        row[0]
        for row in there.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'records_%'"
        )
    }
    copied = {name for name in names if name.removeprefix("records_") not in _OF_THE_SHOP | _FOLLOWS}
    stride = (
        max(there.execute(f"SELECT coalesce(max(rowid), 0) FROM {name}").fetchone()[0] for name in copied) + 1
    )
    return [_Table(there, name, copied, stride) for name in sorted(copied)]


def _copy(there: sqlite3.Connection, table: _Table, number: int) -> None:
    """One more past of every bike: the same rows, further on."""
    far = table.stride * number
    told = [
        f'"{column}" + {far}' if column in table.moved
        else f""""{column}" || '-{number}'""" if column in table.named
        else f'"{column}"'
        for column in table.columns
    ]  # fmt: skip
    there.execute(
        f"""INSERT INTO {table.name} ({", ".join(f'"{one}"' for one in table.columns)}) """
        f"SELECT {', '.join(told)} FROM {table.name} WHERE rowid <= {table.last}"
    )


def _still_here(there: sqlite3.Connection) -> list[int]:
    """The stays of today: their copies are over."""
    return [row for (row,) in there.execute("SELECT job_id FROM records_jobhere")]


def _end_the_copies(there: sqlite3.Connection, here: list[int], tables: list[_Table]) -> None:
    """Write the handover of every copied stay of today, as the past has it."""
    jobs = next(table for table in tables if table.name == "records_job")
    for job in here:
        there.execute(
            "INSERT INTO records_event (at, kind, key, fingerprint, said, bike_id, by_id, job_id) "
            "SELECT j.opened_at, 'handed over', 'grown-' || j.id, '', '{}', j.bike_id, "
            "(SELECT by_id FROM records_event WHERE job_id = ?), j.id FROM records_job j WHERE j.id % ? = ? AND j.id > ?",
            (job, jobs.stride, job, jobs.last),
        )


def _calibrate(there: sqlite3.Connection) -> None:
    """The tools come back from calibration last of all.

    A tool that tightens the bolts of so many bikes is sent in every few weeks (its cycles are counted); without this it would
    have worked for all of them since the one certificate of the invented year.
    """
    last = there.execute(
        "SELECT c.tool_id, max(c.event_id) FROM records_toolcheck c JOIN records_event e ON e.id = c.event_id "
        "WHERE e.kind = 'tool checked' GROUP BY c.tool_id"
    ).fetchall()
    (now,) = there.execute("SELECT max(at) FROM records_event").fetchone()
    for tool, check in last:
        event = there.execute(
            "INSERT INTO records_event (at, kind, key, fingerprint, said, by_id) "
            "SELECT ?, kind, 'grown-calibrated-' || ?, '', said, by_id FROM records_event WHERE id = ?",
            (now, tool, check),
        ).lastrowid
        there.execute(
            "INSERT INTO records_toolcheck (event_id, day, due, deviation, good, words, tool_id) "
            "SELECT ?, date(?), date(?, '+1 year'), deviation, good, words, tool_id FROM records_toolcheck WHERE event_id = ?",
            (event, now, now, check),
        )


if __name__ == "__main__":
    asked = argparse.ArgumentParser(prog="size", description=__doc__.split("\n")[0])
    asked.add_argument("home", type=Path)
    asked.add_argument("--bikes", type=int, default=50_000)
    told = asked.parse_args()
    grow(told.home, told.bikes)
