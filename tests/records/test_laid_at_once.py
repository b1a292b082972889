"""A new home is laid at once, byte for byte as all steps lay it; whatever holds something walks its steps."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
_START = "import django; django.setup(); from django.core.management import call_command; "
# On the way, at a step of an earlier release, the database is put aside as it is then.
_WALK = f"""{_START}
import sys
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
walk = MigrationExecutor.apply_migration
def put_aside(self, state, step, **how):
    state = walk(self, state, step, **how)
    if (step.app_label, step.name[:4]) == ("records", "0018"):
        connection.cursor().execute("VACUUM INTO %s", [sys.argv[1]])
    return state
MigrationExecutor.apply_migration = put_aside
call_command('migrate', verbosity=0)"""
_LAY = f"{_START}from pinchbolt.serving.migrating import migrate; migrate()"
_ASK = "from pinchbolt.records.laid import lay_new; print(lay_new())"
# When a step was walked is the one thing that differs.
_NOT_THE_SAME = {"django_migrations": "applied"}


def made(home: Path, program: str, *words: str) -> tuple[Path, str]:
    """Run a program on this home folder; return the database and what was printed."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("PINCHBOLT", "DJANGO"))}
    around = {
        **own,
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    said = subprocess.run(
        [sys.executable, "-c", program, *words],
        cwd=ROOT,
        env=around,
        check=True,
        capture_output=True,
        text=True,
    )
    return home / "bench.sqlite3", said.stdout.strip()


def everything(path: Path) -> tuple[list[tuple[object, ...]], dict[str, list[tuple[object, ...]]]]:
    """Every word of the schema, and every row; the planner's own counts are no part of either."""
    with sqlite3.connect(path) as asked:
        schema = asked.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
        schema = sorted((row for row in schema if not str(row[1]).startswith("sqlite_stat")), key=str)
        rows = {}
        for kind, name, *_ in schema:
            if kind != "table":
                continue
            columns = [one[1] for one in asked.execute(f'PRAGMA table_info("{name}")')]
            wanted = [one for one in columns if one != _NOT_THE_SAME.get(name)]
            listed = ", ".join(f'"{one}"' for one in wanted)
            rows[name] = sorted(asked.execute(f'SELECT {listed} FROM "{name}"').fetchall(), key=str)
    return schema, rows


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A database that walked every step, and the home of an earlier release, which walked the steps of then."""
    half = tmp_path_factory.mktemp("half")
    return made(tmp_path_factory.mktemp("walked"), _WALK, str(half / "bench.sqlite3"))[0], half


def test_laid_is_what_was_walked(both: tuple[Path, Path], tmp_path: Path) -> None:
    """Tables, columns, indexes, triggers, rows and counters: the same text, and the same steps noted."""
    laid = made(tmp_path, _LAY)[0]
    walked_schema, walked_rows = everything(both[0])
    laid_schema, laid_rows = everything(laid)
    assert [row for row in walked_schema if row[0] == "trigger"], "nothing guards the events"
    assert laid_schema == walked_schema, "run: python -m desk.laid"
    assert laid_rows == walked_rows


def test_a_home_that_holds_something_walks(both: tuple[Path, Path]) -> None:
    """One of an earlier release is not laid over, and comes to the same tables step by step."""
    walked, half = both
    assert everything(half / "bench.sqlite3")[0] != everything(walked)[0]
    path, said = made(half, f"{_START}{_ASK}")
    assert said == "False"
    made(half, _LAY)
    assert everything(path)[0] == everything(walked)[0]


def test_an_unknown_step_is_walked_instead(tmp_path: Path) -> None:
    """Where the framework's own steps are not those that were written down, nothing is laid."""
    forgotten = (
        "from django.db.migrations.loader import MigrationLoader as L; old = L.build_graph; "
        "L.build_graph = lambda self: (old(self), self.graph.nodes.pop(('sessions', '0001_initial')))[0]; "
    )
    assert made(tmp_path, f"{_START}{forgotten}{_ASK}")[1] == "False"
