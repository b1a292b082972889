"""A consistent copy of the database in one dated file, taken while work goes on, and opened before it counts."""

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from pinchbolt.errors import NotPossibleNow
from pinchbolt.serving.home import home_folder


@dataclass(frozen=True, slots=True)
class BackedUp:
    """The copy: its file, size in bytes, how many events are in it, and the database that it is a copy of."""

    file: Path
    size: int
    events: int
    original: Path


def back_up(now: datetime, folder: Path | None = None) -> BackedUp:
    """Copy the database into *folder* by SQLite's own backup, and look the copy over.

    Args:
        now: When; it names the file. [-]
        folder: Where the copy goes; None takes 'backups' in the home folder. [-]

    Returns:
        The copy, opened once and found whole. [-]

    Raises:
        NotPossibleNow: The database is not SQLite, a copy of this second is there already, or the copy is not whole.
    """
    from django.db import connection
    from django.utils import timezone

    if connection.vendor != "sqlite":
        raise NotPossibleNow(
            "The workshop is kept in PostgreSQL: copy it with pg_dump, on a day and place of your choice. "
            "pinchbolt backup copies the one-file database only."
        )
    into = folder or home_folder() / "backups"
    into.mkdir(parents=True, exist_ok=True)
    target = into / f"bench-{timezone.localtime(now):%Y-%m-%d-%H%M%S}.sqlite3"
    unproved = into / f".{target.name}.{os.getpid()}"
    connection.ensure_connection()
    try:
        with closing(sqlite3.connect(unproved)) as copy:
            cast(Any, connection.connection).backup(copy)
            # One file, without the log's two companions: so a copy can be carried off as it is.
            copy.execute("PRAGMA journal_mode=DELETE")
        events = _look_over(unproved)
        _name(unproved, target)
    finally:
        unproved.unlink(missing_ok=True)
    return BackedUp(target, target.stat().st_size, events, Path(str(connection.settings_dict["NAME"])))


def _look_over(file: Path) -> int:
    """Return how many events the copy holds, after SQLite has read every page of it."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
        whole = copy.execute("PRAGMA integrity_check").fetchone()[0]
        astray = copy.execute("PRAGMA foreign_key_check").fetchall()
        if whole != "ok" or astray:
            raise NotPossibleNow(
                f"The copy is not whole ({whole if whole != 'ok' else f'{len(astray)} rows point nowhere'}), so it was not kept. "
                "Run pinchbolt doctor, and keep the last good copy."
            )
        return int(copy.execute("SELECT COUNT(*) FROM records_event").fetchone()[0])


def _name(unproved: Path, target: Path) -> None:
    """Give the copy its name only if nobody has it; works on a stick without links as well."""
    try:
        target.open("xb").close()
    except FileExistsError:
        raise NotPossibleNow(
            f"{target} is there already: nothing is overwritten. Wait a second and try again."
        ) from None
    unproved.replace(target)
