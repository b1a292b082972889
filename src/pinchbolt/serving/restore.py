"""Going back to a copy: looked at first, what would be lost is said, and what is there now is set aside, never thrown away."""

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Lock

from django.db import DatabaseError

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.serving.backup import KEPT_FILES, KEPT_KEYS, back_up, look_over, sign_everybody_out
from pinchbolt.serving.home import home_folder, tables_folder
from pinchbolt.serving.migrating import migrate
from pinchbolt.serving.one_server import alone
from pinchbolt.serving.sealed_key import open_keys, put_keys
from pinchbolt.values.wording import worded

_BRINGING = Lock()


@dataclass(frozen=True, slots=True)
class CopySeen:
    """A copy as it was found: entries in it, its newest one, own tables' files; and entries that are here and not in it."""

    file: Path
    workshop: str
    events: int
    newest: str
    files: int
    lost: int


@dataclass(frozen=True, slots=True)
class Restored:
    """What is worked with now, and where the records of before lie."""

    seen: CopySeen
    set_aside: Path | None


def look_at_copy(file: Path) -> CopySeen:
    """Open a copy without changing anything.

    Raises:
        InputRefused: There is no such file.
        NotPossibleNow: It is no whole copy, or a later release wrote it.
    """
    if not file.is_file():
        raise InputRefused(
            worded("{file}: there is no such file. Name a copy that pinchbolt backup made.", file=file)
        )
    events = look_over(file)
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
        _refuse_later(copy, file)
        newest = copy.execute("SELECT max(at) FROM records_event").fetchone()[0] or ""
        named = copy.execute("SELECT name FROM records_workshop").fetchone()
        has_files = copy.execute(
            "SELECT count(*) FROM sqlite_master WHERE name = ?", (KEPT_FILES,)
        ).fetchone()[0]
        files = copy.execute(f"SELECT count(*) FROM {KEPT_FILES}").fetchone()[0] if has_files else 0
        keys = {row[0] for row in copy.execute("SELECT key FROM records_event")}
    lost = sum(key not in keys for key in _keys_here())
    return CopySeen(file, named[0] if named else "", events, str(newest)[:16], files, lost)


def keys_in(file: Path, passphrase: str) -> dict[str, bytes]:
    """Return the keys that a copy carries, opened.

    Raises:
        InputRefused: It carries none, or the passphrase is another.
    """
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
        if not copy.execute("SELECT count(*) FROM sqlite_master WHERE name = ?", (KEPT_KEYS,)).fetchone()[0]:
            raise InputRefused(
                worded(
                    "{file} carries no keys: go back to it without them; everybody signs in anew.", file=file
                )
            )
        return open_keys(copy.execute(f"SELECT sealed FROM {KEPT_KEYS}").fetchone()[0], passphrase)


def restore(file: Path, now: datetime, keys: dict[str, bytes] | None = None) -> Restored:
    """Put a copy in the place of the records; those of before are set aside beside the backups.

    Raises:
        NotPossibleNow: The server runs, or the copy is no good; then nothing was changed.
    """
    with alone(worded("bring the copy back")):
        seen = look_at_copy(file)
        database = _database()
        aside = _set_aside(database, now)
        fresh = database.with_name(f".{database.name}.coming")
        tables = tables_folder().with_name(".tables.coming")
        try:
            _unpack(file, fresh, tables)
            # Setting aside opened the old file: whoever goes on must find the new one.
            _database()
            _swap(fresh, database, tables if seen.files or tables_folder().exists() else None)
        finally:
            fresh.unlink(missing_ok=True)
            shutil.rmtree(tables, ignore_errors=True)
        put_keys(keys or {})
        migrate()
        return Restored(seen, aside)


def bring_back(file: Path, now: datetime) -> CopySeen:
    """Bring a copy into a home folder in which nobody works yet, while it is served: page by page, all of it or nothing.

    The file stays and its pages are written by the database itself, so that whoever has it open reads the new ones.

    Raises:
        NotPossibleNow: Somebody works here already, or the copy is no good; then nothing was changed.
    """
    # One server serves a home folder: whoever else brings one waits here, and then finds a workshop.
    with _BRINGING:
        return _bring_back(file)


def _refuse_taken() -> None:
    from pinchbolt.records.models import Event, Person

    if Person.objects.exists() or Event.objects.exists():
        raise NotPossibleNow(
            worded(
                "There is a workshop here already: stop pinchbolt, then go back to a copy with "
                "pinchbolt restore, which says what that loses."
            )
        )


def _bring_back(file: Path) -> CopySeen:
    from django.db import connection

    from pinchbolt.workshop.common.trade_tables import read_tables_again

    _refuse_taken()
    seen = look_at_copy(file)
    database = _database()
    fresh, tables = (
        database.with_name(f".{database.name}.coming"),
        tables_folder().with_name(".tables.coming"),
    )
    try:
        _unpack(file, fresh, tables)
        # Somebody may have opened a book of their own while the copy was unpacked.
        _refuse_taken()
        connection.ensure_connection()
        with closing(sqlite3.connect(fresh)) as copy:
            copy.backup(connection.connection)
        if seen.files or tables_folder().exists():
            _put_tables(tables)
    except sqlite3.DatabaseError as error:
        raise NotPossibleNow(
            worded("It was not brought back ({error}): nothing was changed. Try again.", error=error)
        ) from None
    finally:
        fresh.unlink(missing_ok=True)
        shutil.rmtree(tables, ignore_errors=True)
    # What this connection knew of the tables before is of the empty book.
    connection.close()
    migrate()
    read_tables_again()
    return seen


def _set_aside(database: Path, now: datetime) -> Path | None:
    """A copy of what is there now; of a damaged file, which no database copies, the bytes as they lie."""
    if not database.exists():
        return None
    try:
        return back_up(now, name="set-aside").file
    except (NotPossibleNow, DatabaseError, sqlite3.DatabaseError):
        into = home_folder() / "backups" / f"set-aside-{now:%Y-%m-%d-%H%M%S}-damaged.sqlite3"
        into.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        for end in ("", "-wal"):
            if database.with_name(database.name + end).exists():
                shutil.copy2(database.with_name(database.name + end), into.with_name(into.name + end))
        return into


def _database() -> Path:
    from django.db import connection

    if connection.vendor != "sqlite":
        raise NotPossibleNow(
            worded("The workshop is kept in PostgreSQL: bring it back with its own pg_restore.")
        )
    connection.close()
    return Path(str(connection.settings_dict["NAME"]))


def _keys_here() -> list[str]:
    """Marks of all that is on record now."""
    database = _database()
    if not database.exists():
        return []
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as here:
        try:
            return [row[0] for row in here.execute("SELECT key FROM records_event")]
        except sqlite3.DatabaseError:
            # Damaged, or no records yet: that may be why a copy is wanted.
            return []


def _refuse_later(copy: sqlite3.Connection, file: Path) -> None:
    from django.db.migrations.loader import MigrationLoader

    known = {name for app, name in MigrationLoader(None).graph.nodes if app == "records"}
    written = {row[0] for row in copy.execute("SELECT name FROM django_migrations WHERE app = 'records'")}
    if written - known:
        raise NotPossibleNow(
            worded(
                "{file} was written by a newer pinchbolt ({written}). Update pinchbolt first, then "
                "try again.",
                file=file,
                written=max(written - known),
            )
        )


def _unpack(file: Path, fresh: Path, tables: Path) -> None:
    """Records and own tables out of the copy, beside those that are there."""
    shutil.rmtree(tables, ignore_errors=True)
    tables.mkdir(parents=True)
    fresh.unlink(missing_ok=True)
    os.close(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    with (
        closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy,
        closing(sqlite3.connect(fresh)) as into,
    ):
        copy.backup(into)
        # A copy of an earlier release still holds who was signed in.
        sign_everybody_out(into)
        if into.execute("SELECT count(*) FROM sqlite_master WHERE name = ?", (KEPT_FILES,)).fetchone()[0]:
            for name, content in into.execute(f"SELECT name, bytes FROM {KEPT_FILES}"):
                target = (tables / name).resolve()
                if not target.is_relative_to(tables.resolve()):
                    raise NotPossibleNow(
                        worded(
                            "{file} names a file outside its own folder ({name}): nothing was changed.",
                            file=file,
                            name=name[:60],
                        )
                    )
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
            into.execute(f"DROP TABLE {KEPT_FILES}")
        into.execute(f"DROP TABLE IF EXISTS {KEPT_KEYS}")
        into.commit()


def _swap(fresh: Path, database: Path, tables: Path | None) -> None:
    """The new in the place of the old; the log's companions belong to the old file."""
    for end in ("-wal", "-shm"):
        database.with_name(database.name + end).unlink(missing_ok=True)
    fresh.replace(database)
    if tables is not None:
        _put_tables(tables)


def _put_tables(tables: Path) -> None:
    """Own tables in the place of those that were there, which go last."""
    before = tables_folder().with_name(".tables.before")
    shutil.rmtree(before, ignore_errors=True)
    if tables_folder().exists():
        tables_folder().replace(before)
    tables.replace(tables_folder())
    shutil.rmtree(before, ignore_errors=True)
