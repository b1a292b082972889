"""A new database laid at once: what all steps of the tables make of an empty file, written down beside them.

Walking the steps costs seconds, since each is worked out from all before it; what comes of an empty file is always the same. A
database that holds anything walks its steps, and so does PostgreSQL. `python -m desk.laid` writes the file anew; a test walks
all steps and holds it to them.
"""

import sqlite3
from collections.abc import Iterator
from importlib.resources import files

from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

FILE = "laid.sql"
_STEP = "-- step "


def lay_new() -> bool:
    """Lay the tables of a new SQLite file, and note their steps as walked; return whether that was done.

    Nothing is laid over anything, nor where a step was written down that this program does not know.
    """
    if connection.vendor != "sqlite" or connection.introspection.table_names():
        return False
    text = files("pinchbolt.records").joinpath(FILE).read_text(encoding="utf-8")
    steps = [_step(line) for line in text.splitlines() if line.startswith(_STEP)]
    known = MigrationLoader(connection).graph.nodes
    if not all(step in known for step in steps):
        return False
    with transaction.atomic():
        with connection.cursor() as cursor:
            for statement in _statements(text):
                cursor.execute(statement)
        recorder = MigrationRecorder(connection)
        for app, name in steps:
            recorder.record_applied(app, name)
    return True


def written_down() -> str:
    """Return the file's text from the database that is open, which must have walked all steps and hold nothing else."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY rowid")
        made = [str(sql) for (sql,) in cursor.fetchall() if not sql.startswith("CREATE TABLE sqlite_")]
        # Counters that a table got when it was built anew; those of the rows come with the rows.
        cursor.execute("SELECT name FROM sqlite_sequence WHERE seq = 0 ORDER BY name")
        made += [f"INSERT INTO sqlite_sequence VALUES ('{name}', 0)" for (name,) in cursor.fetchall()]
        cursor.execute("SELECT app, name FROM django_migrations ORDER BY id")
        steps = [f"{_STEP}{app} {name}" for app, name in cursor.fetchall()]
    head = "-- What all steps make of an empty file. Written by: python -m desk.laid"
    return "\n".join([head, *steps, *(f"{sql};" for sql in made)]) + "\n"


def _step(line: str) -> tuple[str, str]:
    app, _, name = line.removeprefix(_STEP).partition(" ")
    return app, name


def _statements(text: str) -> Iterator[str]:
    """The statements without their last semicolon, which SQLite does not keep; a trigger has others inside."""
    told = ""
    for line in text.splitlines():
        if not told and line.startswith("--"):
            continue
        told = f"{told}\n{line}" if told else line
        if sqlite3.complete_statement(told):
            yield told.removesuffix(";")
            told = ""
