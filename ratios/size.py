"""Fifty thousand bikes: grows the invented workshop's history by copies of itself, then times every page that a tablet asks for.

    python -m ratios.size grow HOME --bikes 50000      HOME holds the invented workshop; it is changed for good
    python -m ratios.size pages HOME                   processor time and queries of each page, beside an empty page

Each copy is a bike's whole past, with its own tag, owner and marks; what is in the workshop today stays as it is. Invented
like what it is copied from.
"""

import argparse
import os
import sqlite3
import sys
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

# What there is one of, however many bikes come: people, tools, gauges, settings.
_OF_THE_SHOP = {
    "workshop", "person", "person_groups", "person_user_permissions", "tool", "instrument", "toolcheck", "instrumentcheck",
    "paper", "binpart", "taxrate", "supplier", "trainer", "peg",
}  # fmt: skip
# Columns that nobody else may share; a copy's carries its number.
_NAMED = {("bike", "tag"), ("event", "key"), ("paper", "name"), ("ridefile", "digest"), ("ride", "digest")}


def grow(home: Path, bikes: int, say: Callable[[str], object] = print) -> None:
    """Copy the past of the bikes on record until there are so many."""
    with closing(sqlite3.connect(home / "bench.sqlite3")) as there:
        there.execute("PRAGMA foreign_keys=OFF")
        there.execute("PRAGMA journal_mode=OFF")
        there.execute("PRAGMA synchronous=OFF")
        there.execute("PRAGMA cache_size=-500000")
        _forget_today(there)
        tables = _tables(there)
        (first,) = there.execute("SELECT count(*) FROM records_bike").fetchone()
        rounds, began = max(0, -(-bikes // first) - 1), time.monotonic()
        there.execute("BEGIN")
        for number in range(1, rounds + 1):
            for table in tables:
                _copy(there, table, number)
            if number % 500 == 0:
                say(f"{(number + 1) * first:,} bikes, {time.monotonic() - began:.0f} s")
        there.execute("COMMIT")
        for name in ("bike", "job", "event", "reading", "finding"):
            (many,) = there.execute(f"SELECT count(*) FROM records_{name}").fetchone()
            say(f"{name}: {many:,}")
    say(f"grown in {time.monotonic() - began:.0f} s")


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
    copied = {name for name in names if name.removeprefix("records_") not in _OF_THE_SHOP}
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


def _forget_today(there: sqlite3.Connection) -> None:
    """End every stay of today before it is copied: its handover is written, as the past has it."""
    open_now = there.execute(
        "SELECT id, bike_id FROM records_job WHERE id NOT IN "
        "(SELECT job_id FROM records_event WHERE kind = 'handed over' AND job_id IS NOT NULL)"
    ).fetchall()
    for job, bike in open_now:
        there.execute(
            "INSERT INTO records_event (at, kind, key, fingerprint, said, bike_id, by_id, job_id) "
            "SELECT max(at), 'handed over', 'grown-' || ?, '', '{}', ?, max(by_id), ? FROM records_event WHERE job_id = ?",
            (job, bike, job, job),
        )
    there.commit()


PAGES: tuple[tuple[str, str], ...] = (
    ("an empty page", "/static/bench/favicon.svg"),
    ("sign-in", "/sign-in/"),
    ("shop day", "/"),
    ("find by tag", "/?find={tag}"),
    ("find by name", "/?find=a"),
    ("bike", "/bike/{tag}/"),
    ("build sheet", "/bike/{tag}/build/"),
    ("check-in", "/check-in/"),
    ("bins", "/bins/"),
    ("tool board", "/tools/"),
    ("walk-round", "/job/{job}/walk-round/"),
    ("ten minutes", "/job/{job}/looks/"),
    ("findings", "/job/{job}/findings/"),
    ("estimate", "/job/{job}/estimate/"),
    ("work", "/job/{job}/work/"),
    ("torque sheet", "/job/{job}/work/torque/"),
    ("sign-off", "/job/{job}/sign-off/"),
    ("handover", "/job/{job}/handover/"),
)


def pages(home: Path, often: int, say: Callable[[str], object] = print) -> None:
    """Ask each page so often, in this process, by a signed-in person; say the median and the slowest, in milliseconds."""
    os.environ["PINCHBOLT_HOME"] = str(home)
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinchbolt.serving.settings"
    import django

    django.setup()
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.utils import timezone

    from pinchbolt.records.models import Bike, Person
    from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in

    person = Person.objects.order_by("pk")[0]
    bike = Bike.objects.order_by("-pk")[0]
    here = (
        bike.jobs.order_by("-pk").first() if bike.jobs.exclude(events__kind="handed over").exists() else None
    )
    key = f"size-{time.time_ns()}"
    asked_in = CheckInRequest(tag=bike.tag)
    job = here.pk if here else check_in(asked_in, by=person.pk, key=key, now=timezone.now()).job
    tablet = Client(headers={"host": "127.0.0.1"})
    tablet.force_login(person, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    say(f"{'page':16} {'median':>8} {'slowest':>8} {'queries':>8}")
    for name, address in PAGES:
        at = address.format(tag=bike.tag, job=job)
        tablet.get(at)
        times = []
        for _ in range(often):
            started = time.process_time()
            with CaptureQueriesContext(connection) as asked:
                answer = tablet.get(at)
            times.append((time.process_time() - started) * 1000)
        times.sort()
        say(f"{name:16} {times[len(times) // 2]:8.0f} {times[-1]:8.0f} {len(asked):8d}  {answer.status_code}")


def main(words: Iterable[str]) -> None:
    """Grow a home, or time its pages."""
    asked = argparse.ArgumentParser(prog="size", description=__doc__.split("\n")[0])
    asked.add_argument("what", choices=("grow", "pages"))
    asked.add_argument("home", type=Path)
    asked.add_argument("--bikes", type=int, default=50_000)
    asked.add_argument("--often", type=int, default=7)
    told = asked.parse_args(list(words))
    if told.what == "grow":
        grow(told.home, told.bikes)
    else:
        pages(told.home, told.often)


if __name__ == "__main__":
    main(sys.argv[1:])
