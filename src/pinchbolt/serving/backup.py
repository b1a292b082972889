"""A consistent copy of everything in one dated file, taken while work goes on, and opened before it counts.

The records are copied by the database itself; the workshop's own tables travel in the same file, in a table of their own. The
signing key does not, unless sealed by choice, and nobody is signed in in a copy: either would let whoever finds it in.
"""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from pinchbolt.errors import NotPossibleNow
from pinchbolt.serving.home import home_folder, tables_folder
from pinchbolt.serving.sealed_key import sealed_file
from pinchbolt.values.wording import worded

KEPT_FILES = "kept_files"
"""Table of the copy in which the own tables' files lie; the records themselves have none such."""
KEPT_KEYS = "kept_keys"
"""Table of the copy in which the sealed keys lie, where somebody chose to carry them along."""


@dataclass(frozen=True, slots=True)
class BackedUp:
    """The copy: its file, size in bytes, how many events and files are in it, and the database that it is a copy of."""

    file: Path
    size: int
    events: int
    files: int
    original: Path


def back_up(now: datetime, folder: Path | None = None, name: str = "bench") -> BackedUp:
    """Copy the database into *folder* by SQLite's own backup with the own tables in it, and look the copy over.

    Args:
        now: When; it names the file. [-]
        folder: Where the copy goes; None takes 'backups' in the home folder. [-]
        name: First word of the file's name. [-]

    Returns:
        The copy, opened once and found whole. [-]

    Raises:
        NotPossibleNow: The database is not SQLite, a copy of this second is there already, its disk is full, or it is not whole.
    """
    from django.utils import timezone

    into = folder or home_folder() / "backups"
    into.mkdir(parents=True, exist_ok=True, mode=0o700)
    return _copied(into / f"{name}-{timezone.localtime(now):%Y-%m-%d-%H%M%S}.sqlite3", _name)


def back_up_as(target: Path) -> BackedUp:
    """Copy as `back_up` does, into one file that is made anew each time: the old one stays until the new one is whole.

    Raises:
        NotPossibleNow: The database is not SQLite, the disk is full, or the copy is not whole.
    """
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    return _copied(target, lambda unproved, named: unproved.replace(named))


def _copied(target: Path, name: Callable[[Path, Path], object]) -> BackedUp:
    from django.db import connection

    if connection.vendor != "sqlite":
        raise NotPossibleNow(
            worded(
                "The workshop is kept in PostgreSQL: copy it with pg_dump, on a day and place of "
                "your choice. pinchbolt backup copies the one-file database only."
            )
        )
    unproved = target.with_name(f".{target.name}.{os.getpid()}")
    unproved.unlink(missing_ok=True)
    connection.ensure_connection()
    try:
        # For this user alone, wherever the copy goes: it holds owners' names.
        os.close(os.open(unproved, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        with closing(sqlite3.connect(unproved)) as copy:
            cast(Any, connection.connection).backup(copy)
            sign_everybody_out(copy)
            files = _put_in(copy, tables_folder())
            _put_keys_in(copy)
            # One file, without the log's two companions: so a copy can be carried off as it is.
            copy.execute("PRAGMA journal_mode=DELETE")
        events = look_over(unproved)
        name(unproved, target)
    except sqlite3.Error as error:
        raise NotPossibleNow(
            worded(
                "No copy was made in {parent} ({error}): look whether its disk is full or can't be "
                "written, then try again.",
                parent=target.parent,
                error=error,
            )
        ) from None
    finally:
        unproved.unlink(missing_ok=True)
    return BackedUp(target, target.stat().st_size, events, files, Path(str(connection.settings_dict["NAME"])))


def _put_keys_in(copy: sqlite3.Connection) -> None:
    """Put the sealed keys into the copy, where somebody chose that."""
    if sealed_file().is_file():
        copy.execute(f"CREATE TABLE {KEPT_KEYS} (sealed BLOB NOT NULL)")
        copy.execute(f"INSERT INTO {KEPT_KEYS} VALUES (?)", (sealed_file().read_bytes(),))
        copy.commit()


def sign_everybody_out(copy: sqlite3.Connection) -> None:
    """Take who is signed in out of a copy, down to its bytes: a session lasts a year, and its mark alone is the way in."""
    copy.execute("PRAGMA secure_delete=ON")
    if copy.execute("SELECT count(*) FROM sqlite_master WHERE name = 'django_session'").fetchone()[0]:
        copy.execute("DELETE FROM django_session")
        # One that was ended since would be good again when the copy is brought back.
        if copy.execute("SELECT count(*) FROM sqlite_master WHERE name = 'records_apitoken'").fetchone()[0]:
            copy.execute("DELETE FROM records_apitoken")
        copy.commit()
        # Rows that were deleted by a release that did not write over them.
        copy.execute("VACUUM")


def _put_in(copy: sqlite3.Connection, folder: Path) -> int:
    """Put the files of the own tables into the copy; return how many."""
    files = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    copy.execute(f"CREATE TABLE {KEPT_FILES} (name TEXT PRIMARY KEY, bytes BLOB NOT NULL)")
    rows = [(path.relative_to(folder).as_posix(), path.read_bytes()) for path in files]
    copy.executemany(f"INSERT INTO {KEPT_FILES} VALUES (?, ?)", rows)
    copy.commit()
    return len(rows)


def look_over(file: Path) -> int:
    """Return how many events a copy holds, after SQLite has read every page of it.

    Raises:
        NotPossibleNow: The copy is not whole, or no copy at all.
    """
    try:
        return _look_over(file)
    except sqlite3.DatabaseError as error:
        raise NotPossibleNow(
            worded(
                "{file} can't be read as a copy of the records ({error}). Choose another one.",
                file=file,
                error=error,
            )
        ) from None


def _look_over(file: Path) -> int:
    """Return how many events the copy holds, after SQLite has read every page of it."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
        whole = copy.execute("PRAGMA integrity_check").fetchone()[0]
        astray = copy.execute("PRAGMA foreign_key_check").fetchall()
        if whole != "ok" or astray:
            raise NotPossibleNow(
                worded(
                    "The copy is not whole ({whole}), so it was not kept. Run pinchbolt doctor, and keep "
                    "the last good copy.",
                    whole=whole
                    if whole != "ok"
                    else worded("{astray} rows point nowhere", astray=len(astray)),
                )
            )
        return int(copy.execute("SELECT COUNT(*) FROM records_event").fetchone()[0])


def _name(unproved: Path, target: Path) -> None:
    """Give the copy its name only if nobody has it; works on a stick without links as well."""
    try:
        target.open("xb").close()
    except FileExistsError:
        raise NotPossibleNow(
            worded(
                "{target} is there already: nothing is overwritten. Wait a second and try again.",
                target=target,
            )
        ) from None
    unproved.replace(target)
