"""Looks an installation over: everything that pinchbolt stands on."""

import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from pinchbolt.errors import PinchboltError
from pinchbolt.serving.home import home_folder
from pinchbolt.serving.sqlite import is_mended

_LEAST_FREE = 500_000_000
_OLDEST_BACKUP_DAYS = 2
_AUTHORITY_SOON_DAYS = 180


@dataclass(frozen=True, slots=True)
class Looked:
    """One thing that was looked at, whether it is good, and what was seen. `stops`: nobody should work before it is.

    `soon`: nobody is stopped by it, but it must not stay so; what neither stops nor is soon is said by the way.
    """

    what: str
    good: bool
    words: str
    stops: bool = True
    soon: bool = False


def exit_code(found: Iterable[Looked]) -> int:
    """Return what a monitor is told: 0 well, 1 must not stay so, 2 nobody should work before it is put right."""
    bad = [one for one in found if not one.good]
    return 2 if any(one.stops for one in bad) else 1 if any(one.soon for one in bad) else 0


def look_over(now: datetime) -> tuple[Looked, ...]:
    """Return what was looked at, good or not. Nothing is changed."""
    looks: tuple[tuple[str, Callable[[datetime], Looked]], ...] = (
        ("python", _python),
        ("home folder", _home),
        ("disk", _disk),
        ("database library", _library),
        ("database", _database),
        ("what is so now", _now),
        ("trade tables", _tables),
        ("fonts", _fonts),
        ("clock", _clock),
        ("tools", _tools),
        ("backup", _backup),
        ("https", _https),
    )
    return tuple(_looked(what, look, now) for what, look in looks)


def _looked(what: str, look: Callable[[datetime], Looked], now: datetime) -> Looked:
    """A look that fails is a finding, not the end of the round."""
    try:
        return look(now)
    except PinchboltError as refusal:
        return Looked(what, False, refusal.sentence)
    except Exception as error:
        return Looked(what, False, f"could not be looked at: {error}")


def _python(_: datetime) -> Looked:
    good = (3, 11) <= sys.version_info[:2] < (3, 14)
    version = ".".join(str(n) for n in sys.version_info[:3])
    return Looked("python", good, f"{version}; 3.11 to 3.13 are known to work")


def _home(_: datetime) -> Looked:
    folder = home_folder()
    shut = [
        name
        for name in ("", "tries", "secret-key")
        if (folder / name).exists() and not os.access(folder / name, os.W_OK)
    ]
    if shut:
        return Looked(
            "home folder", False, f"{' and '.join(str(folder / name) for name in shut)} can NOT be written"
        )
    key = folder / "secret-key"
    if key.exists() and not key.read_text(encoding="ascii").strip():
        return Looked("home folder", False, f"{key} is empty: remove it, and everybody signs in anew")
    return Looked("home folder", os.access(folder, os.W_OK), f"{folder} can be written")


def _disk(_: datetime) -> Looked:
    free = shutil.disk_usage(home_folder()).free
    return Looked("disk", free >= _LEAST_FREE, f"{free / 1e9:,.1f} GB free; 0.5 GB are needed")


def _library(_: datetime) -> Looked:
    import sqlite3

    version = sqlite3.sqlite_version
    major, minor, patch = (int(n) for n in version.split("."))
    fine = is_mended((major, minor, patch))
    words = (
        "free of the write-ahead-log fault"
        if fine
        else "has the write-ahead-log fault, so it runs without that log (slower, safe)"
    )
    return Looked("database library", True, f"SQLite {version}, {words}")


def _database(_: datetime) -> Looked:
    from django.db import connection

    from pinchbolt.serving.migrating import open_steps, refuse_later

    refuse_later()
    behind = open_steps()
    if behind:
        return Looked(
            "database", False, f"{behind} steps behind this release: make it ready with pinchbolt serve"
        )
    if connection.vendor != "sqlite":
        return Looked("database", True, f"{connection.vendor}, up to this release")
    with connection.cursor() as cursor:
        found = dict(_pragmas(cursor))
    astray = found.pop("foreign_key_check")
    good = found["integrity_check"] == "ok" and not astray and found["foreign_keys"] == "1"
    words = f"integrity {found['integrity_check']}, {astray or 'no'} rows point nowhere, journal {found['journal_mode']}"
    held = "on" if found["foreign_keys"] == "1" else "OFF"
    return Looked("database", good, f"{words}, synchronous {found['synchronous']}, foreign keys {held}")


def _pragmas(cursor: object) -> Iterator[tuple[str, str]]:
    execute, fetchall = cursor.execute, cursor.fetchall  # type: ignore[attr-defined]
    for name in ("integrity_check", "foreign_keys", "journal_mode", "synchronous"):
        execute(f"PRAGMA {name}")
        yield name, str(fetchall()[0][0])
    execute("PRAGMA foreign_key_check")
    rows = fetchall()
    yield "foreign_key_check", str(len(rows)) if rows else ""


def _now(_: datetime) -> Looked:
    from pinchbolt.records.models import now_amiss

    amiss = len(now_amiss())
    if amiss:
        words = f"{amiss} bikes are listed other than their events say: put it right with pinchbolt doctor --rebuild"
        return Looked("what is so now", False, words)
    return Looked("what is so now", True, "bikes here and call-backs are listed as the events say")


def rebuild() -> int:
    """Write anew what follows from the events: bikes here, call-backs, the words by which owners are found; return the bikes put right."""
    from pinchbolt.records.models import Owner, note_look_up, rebuild_now

    note_look_up(*Owner.objects.values_list("pk", flat=True))
    return rebuild_now()


def _tables(_: datetime) -> Looked:
    from django.utils import timezone

    from pinchbolt.workshop.common.trade_tables import tables_in_use

    used = tables_in_use()
    found = used.tables
    if used.refused is not None:
        good = (
            f"The rows of {timezone.localtime(used.since):%a %d %b %H:%M}"
            if used.since
            else "The trade's rows"
        )
        return Looked(
            "trade tables",
            False,
            f"{used.refused.sentence} {good} are used until it is right.",
            stops=False,
            soon=True,
        )
    own = (
        f"{len(found.overlaid)} rows of the workshop's own"
        if found.overlaid
        else "none of the workshop's own"
    )
    return Looked("trade tables", True, f"{sum(1 for _ in found.all_rows()):,} rows read and checked, {own}")


def _fonts(_: datetime) -> Looked:
    from pinchbolt.drawing import FONTS

    faces = ("B612-Regular.otf", "B612-Bold.otf", "B612-Italic.otf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
    wanted = (*faces, "letters.txt", "OFL.txt", "DejaVu-LICENCE.txt")
    lost = [name for name in wanted if not (Path(FONTS) / name).is_file()]
    return Looked("fonts", not lost, f"missing: {', '.join(lost)}" if lost else "all there")


def _clock(now: datetime) -> Looked:
    """A clock that was set back puts new entries before old ones; one set to nonsense does worse."""
    from django.utils import timezone

    from pinchbolt.workshop.acts.history import newest_entry

    newest = newest_entry()
    behind = newest is not None and newest > now + timedelta(minutes=5)
    sane = datetime(2026, 1, 1, tzinfo=UTC) < now and not behind
    words = f"{timezone.localtime(now):%d %b %Y %H:%M} ({timezone.get_current_timezone_name()})"
    return Looked("clock", sane, f"{words}, before the newest entry" if behind else words)


def _tools(now: datetime) -> Looked:
    from django.utils import timezone

    from pinchbolt.workshop.tools.tool_board import tool_board

    tools, _ = tool_board(timezone.localtime(now).date())
    due = [tool.name for tool in tools if tool.is_due and tool.in_use]
    return Looked(
        "tools",
        not due,
        f"due for recalibration: {', '.join(due)}" if due else "none due for recalibration",
        stops=False,
    )


def _backup(now: datetime) -> Looked:
    """A disk that dies takes everything since the last copy; one place alone dies with its disk."""
    from pinchbolt.serving.keeping_copies import newest_good
    from pinchbolt.workshop.acts.lookups import has_workshop, terms

    second = terms().backup_place if has_workshop() else ""
    told, good = [], True
    for what, folder in (("here", home_folder() / "backups"), ("at the second place", Path(second))):
        if what != "here" and not second:
            told.append("no second place is chosen: see settings, safe keeping")
            continue
        newest = newest_good(folder)
        good = good and newest is not None and now - newest <= timedelta(days=_OLDEST_BACKUP_DAYS)
        told.append(f"the last one {what}: {_age(now - newest) if newest is not None else 'none yet'}")
    return Looked("backup", good, "; ".join(told), stops=False, soon=True)


def _age(old: timedelta) -> str:
    minutes = max(0, round(old / timedelta(minutes=1)))
    if minutes < 120:
        return f"{minutes} minutes old"
    return f"{minutes // 60} hours old" if minutes < 48 * 60 else f"{minutes // 1440} days old"


def _https(now: datetime) -> Looked:
    """The authority ends after ten years: tablets must take a new one in before."""
    from pinchbolt.serving.authority import authority_until, machine_until

    until, machine = authority_until(), machine_until()
    if until is None or machine is None:
        return Looked("https", True, "not served to the network yet")
    words = (
        f"this machine is vouched for until {machine:%d %b %Y}, the authority is good until {until:%d %b %Y}"
    )
    return Looked("https", now < until - timedelta(days=_AUTHORITY_SOON_DAYS), words, stops=False, soon=True)
