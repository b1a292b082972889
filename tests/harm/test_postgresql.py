"""The same records on PostgreSQL through one URL; skipped where PostgreSQL is not installed."""

import json
import lzma
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.harm.postgres_server import NotInstalled, programs, serving
from tests.harm.test_home_before import DUMP

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def url() -> Iterator[str]:
    """A server of our own on a free port, gone afterwards."""
    try:
        programs()
    except NotInstalled as missing:
        pytest.skip(str(missing))
    with serving(laid=True) as address:
        yield address


def _run(url: str, home: Path, *words: str) -> str:
    surroundings = {
        **os.environ,
        "PINCHBOLT_HOME": str(home),
        "PINCHBOLT_DATABASE": url,
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    return subprocess.check_output([sys.executable, *words], cwd=ROOT, env=surroundings, text=True)


def test_a_bike_is_read_on_postgresql_and_its_events_are_only_added(url: str, tmp_path: Path) -> None:
    """Migrations, a check-in and readings; then the database refuses to change them."""
    psycopg = pytest.importorskip("psycopg", reason="psycopg is an extra: pip install pinchbolt[postgres]")
    said = _run(url, tmp_path, "-m", "tests.harm.writer", "3")
    assert len(said.split()) == 3
    with psycopg.connect(url) as there:
        kept = there.execute("SELECT event_id FROM records_reading ORDER BY 1").fetchall()
        assert [row[0] for row in kept] == [int(word) for word in said.split()]
        with pytest.raises(psycopg.errors.IntegrityConstraintViolation, match="not changed or removed"):
            there.execute("UPDATE records_reading SET low = 0")


_TO_THE_RELEASE_BEFORE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("migrate", "records", "0005", verbosity=0)
"""


def test_a_home_of_the_release_before_opens_on_postgresql(url: str, tmp_path: Path) -> None:
    """Its rows come to their parts as on SQLite, a second way forth too, and markings are only added afterwards."""
    psycopg = pytest.importorskip("psycopg", reason="psycopg is an extra: pip install pinchbolt[postgres]")
    _run(url, tmp_path, "-c", _TO_THE_RELEASE_BEFORE)
    with psycopg.connect(url) as there:
        _copy(there, psycopg)
    told = json.loads(_run(url, tmp_path, "-m", "tests.harm.open_home", "twice"))
    parts = {(kind, place): facts for kind, place, facts in told["MY-01"]["parts"]}
    assert parts["rotor", "rear"]["rotor"] == [140, "records"]
    assert told["MY-05"]["windows"]["stem-face-4"] == [
        5.0,
        ["stem marked 6 N·m max", "handlebar marked 5 N·m max"],
    ]
    with psycopg.connect(url) as there:
        named = there.execute("SELECT count(on_part_id) FROM records_marking").fetchone()
        assert named == (3,)
        with pytest.raises(psycopg.errors.IntegrityConstraintViolation, match="not changed or removed"):
            there.execute("UPDATE records_marking SET greatest = 60")


def _copy(there: Any, psycopg: Any) -> None:
    """Copy the stored home's rows over, table by table; the server's own guards look away meanwhile."""
    with sqlite3.connect(":memory:") as old:
        old.executescript(lzma.decompress(DUMP.read_bytes()).decode())
        tables = [
            row[0]
            for row in old.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'records_%'"
            )
        ]
        there.execute("SET session_replication_role = replica")
        for table in tables:
            found = there.execute(
                "SELECT column_name, data_type FROM information_schema.columns WHERE table_name = %s",
                (table,),
            )
            types = dict(found.fetchall())
            rows = old.execute(f"SELECT * FROM {table}")
            names = [column[0] for column in rows.description]
            signs = ", ".join(["%s"] * len(names))
            columns = ", ".join(f'"{name}"' for name in names)
            with there.cursor() as cursor:
                cursor.executemany(
                    f"INSERT INTO {table} ({columns}) VALUES ({signs})",
                    [
                        [_typed(value, types[name]) for value, name in zip(row, names, strict=True)]
                        for row in rows
                    ],
                )
            if "id" in names:
                there.execute(
                    f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table} HAVING max(id) > 0"
                )


def _typed(value: Any, kind: str) -> Any:
    """SQLite keeps truth as 0 and 1, and times without a zone."""
    if value is None or kind not in ("boolean", "timestamp with time zone"):
        return value
    return bool(value) if kind == "boolean" else f"{value}+00"
