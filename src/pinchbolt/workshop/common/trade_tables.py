"""The tables in use. Without records, so that a question that needs none is answered without opening any.

They are read once a start, and anew when somebody says so. A file of the workshop's own that has a fault never takes: the rows
that were good last go on, and what is wrong is said (`tables_in_use().refused`).
"""

import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from hashlib import sha256
from os import fsync, getpid
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings

from pinchbolt import reference
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.reference import Tables

LAST_GOOD, EARLIER = "last-good", "earlier"
_PINNED: ContextVar["Tables | None"] = ContextVar("tables", default=None)


@dataclass(frozen=True, slots=True)
class TablesInUse:
    """The tables that are in use, and by which files.

    `version` marks the rows of the workshop's own, "" where it has none. `digests` are those of its files as they were read.
    `refused` says what is wrong with a file that did not take; `since` is then the time of the good rows that go on.
    """

    tables: "Tables"
    version: str
    digests: Mapping[str, str]
    refused: InputRefused | None = None
    since: datetime | None = None


def tables() -> "Tables":
    """The trade tables with the workshop's own rows laid over them; the same ones until an act or a page is over."""
    return _PINNED.get() or tables_in_use().tables


@contextmanager
def with_tables(given: "Tables | None" = None) -> Iterator[None]:
    """Go by one version of the tables inside: the one that is gone by already or is in use now, or another that is only tried."""
    before = _PINNED.set(given or _PINNED.get() or tables_in_use().tables)
    try:
        yield
    finally:
        _PINNED.reset(before)


@lru_cache(maxsize=1)
def tables_in_use() -> TablesInUse:
    """Return the tables in use, read at the first question."""
    own = own_folder()
    if not own.is_dir():
        return TablesInUse(reference.load(), "", {})
    files = own_files()
    try:
        found = reference.load(own)
    except InputRefused as refused:
        logging.getLogger(__name__).warning("%s", refused.sentence)
        return _last_good(own, refused)
    # A disk that can't be written is the doctor's to tell.
    with suppress(OSError):
        _keep_as_good(own, files)
    return TablesInUse(found, _version(files) if found.overlaid else "", digests(files))


def read_tables_again() -> TablesInUse:
    """Read the files anew; where they have a fault, what was in use goes on."""
    tables_in_use.cache_clear()
    return tables_in_use()


def own_folder() -> Path:
    """The folder of the workshop's own rows."""
    return Path(settings.SHOP_TABLES)


def own_files() -> dict[str, bytes]:
    """The workshop's own files as they lie there now, by name."""
    own = own_folder()
    return _files(own) if own.is_dir() else {}


def digests(files: Mapping[str, bytes]) -> dict[str, str]:
    """A mark of each file, by which a change is seen."""
    return {name: sha256(text).hexdigest()[:16] for name, text in files.items()}


def _files(folder: Path) -> dict[str, bytes]:
    found = {}
    for path in sorted(folder.glob("*.toml")):
        with suppress(OSError):
            found[path.name] = path.read_bytes()
    return found


def _version(files: Mapping[str, bytes]) -> str:
    return sha256(repr(sorted(files.items())).encode()).hexdigest()[:8]


def _last_good(own: Path, refused: InputRefused) -> TablesInUse:
    """The rows that were good last; the trade's alone where none ever were, or where they are no longer good."""
    kept = own / LAST_GOOD
    with suppress(InputRefused, OSError):
        files = _files(kept)
        found = reference.load(kept)
        since = datetime.fromtimestamp(kept.stat().st_mtime, UTC)
        return TablesInUse(found, _version(files) if found.overlaid else "", digests(files), refused, since)
    return TablesInUse(reference.load(), "", {}, refused)


def _keep_as_good(own: Path, files: Mapping[str, bytes]) -> None:
    kept = own / LAST_GOOD
    there = _files(kept) if kept.is_dir() else None
    if there == files or (there is None and not files):
        return
    kept.mkdir(exist_ok=True)
    for name, text in files.items():
        put_file(kept / name, text)
    for name in (there or {}).keys() - files.keys():
        (kept / name).unlink(missing_ok=True)


def put_file(path: Path, text: bytes) -> None:
    """Write a file whole or not at all, and on the disk before it has its name."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.{getpid()}")
    with beside.open("wb") as out:
        out.write(text)
        out.flush()
        fsync(out.fileno())
    beside.replace(path)


@dataclass(frozen=True, slots=True)
class OwnTables:
    """What a folder of own tables changes, a sentence a field; `rows` are all rows that hold then."""

    folder: str
    changes: tuple[str, ...]
    rows: int


def own_tables(folder: Path | None = None) -> OwnTables:
    """Read a folder of own tables anew, laid over the trade's, and say what it changes; without one that of the workshop.

    Raises:
        InputRefused: The folder is not there, or a row of it is bad; the sentence says which, and what is allowed.
    """
    own = folder or Path(settings.SHOP_TABLES)
    if folder is not None and not folder.is_dir():
        raise InputRefused(
            worded(
                "{folder} is no folder: the workshop's own tables lie in one. Name that folder.",
                folder=folder,
            )
        )
    found = reference.load(own if own.is_dir() else None)
    return OwnTables(str(own), tuple(one.words for one in found.overlaid), sum(1 for _ in found.all_rows()))


def fit_tables() -> object:
    """The tables that the fit rules look at; two files alone where the workshop has none of its own."""
    return tables() if own_folder().is_dir() else reference.plain_fit_tables()
