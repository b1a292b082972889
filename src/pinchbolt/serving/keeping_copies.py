"""Copies that make themselves while the workshop is served: one a day, thinned as they grow old, and one of every minute's changes.

All go to the home folder, and to the second place where one is chosen. The minute's copy is a whole one, opened before it counts:
it costs what copying costs, so it is made at most a twentieth of the time, which a shop's first years keep within the minute.
"""

import logging
import re
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.db import DatabaseError

from pinchbolt.errors import PinchboltError
from pinchbolt.serving.backup import back_up, back_up_as
from pinchbolt.serving.home import home_folder

_LOG = logging.getLogger(__name__)
DAILY = timedelta(hours=24)
MINUTE = "minute.sqlite3"
"""The newest changes; the one before lies beside it until the new one is whole."""
_SHARE = 20
# Of each day one for two weeks, of each week one for a quarter, of each month one for a year and a month: longer would keep
# owners who were erased longer than anybody needs a copy of a whole book.
_KEPT: tuple[tuple[timedelta, str], ...] = (
    (timedelta(days=14), "%Y-%j"),
    (timedelta(days=92), "%G-%V"),
    (timedelta(days=400), "%Y-%m"),
)
_DAY_ALL = timedelta(hours=48)
# A copy is written twice over while it is made, and acts need some of the same disk meanwhile.
_ROOM, _SPARE = 2, 100_000_000
_LEFT_OVER = timedelta(days=1)
_NAMED = re.compile(r"bench-(\d{4}-\d{2}-\d{2}-\d{6})\.sqlite3")


class CopyKeeper:
    """Remembers what was copied last, so that nothing is copied twice."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._newest = 0
        self._not_before = 0.0
        self._own: set[Path] = set()

    def daily(self, now: datetime) -> None:
        """Make the day's copy where the newest is a day old, here and at the second place, and thin what has grown old."""
        if not _on_sqlite() or not _has_workshop():
            return
        for folder in places():
            # One of a clock that ran ahead is none of today: else it would be newer than every other one, and each minute made one more.
            newest = max((made for made, _ in dated_copies(folder) if made < now + DAILY), default=None)
            if newest is None or newest <= now - DAILY:
                _kept_from(folder, lambda folder=folder: back_up(now, folder))  # type: ignore[misc]
            thin(folder, now)
            _sweep(folder)

    def minute(self, now: datetime) -> None:
        """Copy what was written since the last time."""
        if not _on_sqlite() or self._clock() < self._not_before:
            return
        newest = _newest_entry()
        if newest == self._newest:
            return
        began = self._clock()
        for folder in places()[-1:]:
            if _kept_from(folder, lambda folder=folder: self._anew(folder, now)):  # type: ignore[misc]
                self._newest = newest
        self._not_before = began + _SHARE * (self._clock() - began)

    def _anew(self, folder: Path, now: datetime) -> None:
        """The newest changes in the place of those of before. What another book left there, or this one before it went back, stays."""
        file = folder / MINUTE
        if folder not in self._own and _holds_more(file):
            file.rename(folder / f"set-aside-minute-{now:%Y-%m-%d-%H%M%S}.sqlite3")
        back_up_as(file)
        self._own.add(folder)


def _holds_more(file: Path) -> bool:
    """Whether a copy ends with an entry that is not here: nothing is ever taken out, so it is of another book, or of later days."""
    from pinchbolt.records.models import Event

    if not file.is_file():
        return False
    try:
        with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
            last = copy.execute("SELECT key FROM records_event ORDER BY id DESC LIMIT 1").fetchone()
    except sqlite3.Error:
        # No sound copy: there is nothing to keep.
        return False
    return last is not None and not Event.objects.filter(key=last[0]).exists()


def places() -> list[Path]:
    """Return where copies go: the home folder's own, then the second place, where one is chosen and there."""
    from pinchbolt.errors import NotFound
    from pinchbolt.workshop.acts.lookups import terms

    try:
        second = terms().backup_place
    except NotFound:
        second = ""
    own = home_folder() / "backups"
    return [own, Path(second)] if second and Path(second).is_dir() else [own]


def dated_copies(folder: Path) -> list[tuple[datetime, Path]]:
    """Return the copies in a folder with the time in their names, the newest first."""
    from django.utils import timezone

    found = []
    for path in folder.glob("bench-*.sqlite3") if folder.is_dir() else ():
        if told := _NAMED.fullmatch(path.name):
            made = datetime.strptime(told[1], "%Y-%m-%d-%H%M%S")
            found.append((timezone.make_aware(made).astimezone(UTC), path))
    return sorted(found, reverse=True)


def thin(folder: Path, now: datetime) -> list[Path]:
    """Take away copies that others stand for; return which. The newest stays whatever its age, and what is set aside too."""
    copies = dated_copies(folder)
    kept = set(kept_of([made for made, _ in copies], now))
    gone = [path for made, path in copies if made not in kept]
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def _sweep(folder: Path) -> None:
    """Take away what was left half-made where power went in the middle: it holds owners' names, and nobody would find it."""
    for path in folder.glob(".*.sqlite3.*") if folder.is_dir() else ():
        if time.time() - path.stat().st_mtime > _LEFT_OVER.total_seconds():
            path.unlink(missing_ok=True)


def kept_of(times: Iterable[datetime], now: datetime) -> list[datetime]:
    """Return the times whose copies stay: all of two days, then the last of each day, week and month."""
    newest_first = sorted(times, reverse=True)
    kept, taken = newest_first[:1], set[str]()
    for made in newest_first:
        age = now - made
        if age <= _DAY_ALL:
            kept.append(made)
            continue
        for until, span in _KEPT:
            name = made.strftime(span)
            if age <= until:
                if name not in taken:
                    kept.append(made)
                    taken.add(name)
                break
    return sorted(set(kept))


def newest_good(folder: Path) -> datetime | None:
    """Return when the newest copy of a folder was made, the minute's among them; None where there is none."""
    made = [one for one, _ in dated_copies(folder)[:1]]
    for name in (MINUTE, *(path.name for path in folder.glob("*.dump"))) if folder.is_dir() else ():
        file = folder / name
        if file.is_file() and (name == MINUTE or _is_dump(file)):
            made.append(datetime.fromtimestamp(file.stat().st_mtime, UTC))
    return max(made, default=None)


def _is_dump(file: Path) -> bool:
    with file.open("rb") as dump:
        return dump.read(5) == b"PGDMP"


def _kept_from(folder: Path, copy: Callable[[], object]) -> bool:
    """Whether the copy was made; one place that fails stops no other."""
    try:
        if not _has_room(folder):
            _LOG.warning("No copy was made in %s: its disk is nearly full. Make room there.", folder)
            return False
        copy()
    except (PinchboltError, OSError, DatabaseError) as fault:
        _LOG.warning("No copy was made in %s: %s", folder, fault)
        return False
    return True


def _has_room(folder: Path) -> bool:
    """Whether a copy fits with something to spare: a full disk would stop the acts for the copy's sake."""
    from django.db import connection

    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    book = Path(str(connection.settings_dict["NAME"]))
    held = [book, book.with_name(f"{book.name}-wal")]
    size = sum(file.stat().st_size for file in held if file.is_file())
    return shutil.disk_usage(folder).free > _ROOM * size + _SPARE


def _has_workshop() -> bool:
    from pinchbolt.workshop.acts.lookups import has_workshop

    return has_workshop()


def _on_sqlite() -> bool:
    from django.db import connection

    return connection.vendor == "sqlite"


def _newest_entry() -> int:
    """Number of the newest act: nothing is written down without one. 0 where there is none."""
    from django.db.models import Max

    from pinchbolt.records.models import Event

    return int(Event.objects.aggregate(newest=Max("pk"))["newest"] or 0)
