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
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

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
        (worded("home folder"), _home),
        ("disk", _disk),
        (worded("database library"), _library),
        ("database", _database),
        (worded("what is so now"), _now),
        (worded("trade tables"), _tables),
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
        return Looked(what, False, worded("could not be looked at: {error}", error=error))


def _python(_: datetime) -> Looked:
    good = (3, 11) <= sys.version_info[:2] < (3, 14)
    version = ".".join(str(n) for n in sys.version_info[:3])
    return Looked("python", good, worded("{version}; 3.11 to 3.13 are known to work", version=version))


def _home(_: datetime) -> Looked:
    folder = home_folder()
    shut = [
        name
        for name in ("", "tries", "secret-key")
        if (folder / name).exists() and not os.access(folder / name, os.W_OK)
    ]
    if shut:
        return Looked(
            worded("home folder"),
            False,
            worded(
                "{shut} can NOT be written", shut=worded(" and ").join(str(folder / name) for name in shut)
            ),
        )
    key = folder / "secret-key"
    if key.exists() and not key.read_text(encoding="ascii").strip():
        return Looked(
            worded("home folder"),
            False,
            worded("{key} is empty: remove it, and everybody signs in anew", key=key),
        )
    return Looked(
        worded("home folder"), os.access(folder, os.W_OK), worded("{folder} can be written", folder=folder)
    )


def _disk(_: datetime) -> Looked:
    free = shutil.disk_usage(home_folder()).free
    return Looked(
        "disk",
        free >= _LEAST_FREE,
        worded("{free} GB free; 0.5 GB are needed", free=figure_text(free / 1000000000.0, 1)),
    )


def _library(_: datetime) -> Looked:
    import sqlite3

    version = sqlite3.sqlite_version
    major, minor, patch = (int(n) for n in version.split("."))
    fine = is_mended((major, minor, patch))
    words = (
        worded("free of the write-ahead-log fault")
        if fine
        else worded("has the write-ahead-log fault, so it runs without that log (slower, safe)")
    )
    return Looked(
        worded("database library"), True, worded("SQLite {version}, {words}", version=version, words=words)
    )


def _database(_: datetime) -> Looked:
    from django.db import connection

    from pinchbolt.serving.migrating import open_steps, refuse_later

    refuse_later()
    behind = open_steps()
    if behind:
        return Looked(
            "database",
            False,
            worded("{behind} steps behind this release: make it ready with pinchbolt serve", behind=behind),
        )
    if connection.vendor != "sqlite":
        return Looked("database", True, worded("{vendor}, up to this release", vendor=connection.vendor))
    with connection.cursor() as cursor:
        found = dict(_pragmas(cursor))
    astray = found.pop("foreign_key_check")
    good = found["integrity_check"] == "ok" and not astray and found["foreign_keys"] == "1"
    words = worded(
        "integrity {whole}, {astray} rows point nowhere, journal {journal}",
        whole=found["integrity_check"],
        astray=astray or worded("no"),
        journal=found["journal_mode"],
    )
    held = "on" if found["foreign_keys"] == "1" else "OFF"
    return Looked(
        "database",
        good,
        worded(
            "{words}, synchronous {found}, foreign keys {held}",
            words=words,
            found=found["synchronous"],
            held=held,
        ),
    )


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
        words = worded(
            "{amiss} bikes are listed other than their events say: put it right with pinchbolt "
            "doctor --rebuild",
            amiss=amiss,
        )
        return Looked(worded("what is so now"), False, words)
    return Looked(
        worded("what is so now"), True, worded("bikes here and call-backs are listed as the events say")
    )


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
            worded("The rows of {since:%a %d %b %H:%M}", since=timezone.localtime(used.since))
            if used.since
            else worded("The trade's rows")
        )
        return Looked(
            worded("trade tables"),
            False,
            worded(
                "{sentence} {good} are used until it is right.", sentence=used.refused.sentence, good=good
            ),
            stops=False,
            soon=True,
        )
    own = (
        worded("{overlaid} rows of the workshop's own", overlaid=len(found.overlaid))
        if found.overlaid
        else worded("none of the workshop's own")
    )
    return Looked(
        worded("trade tables"),
        True,
        worded(
            "{all_rows} rows read and checked, {own}",
            all_rows=figure_text(sum(1 for _ in found.all_rows())),
            own=own,
        ),
    )


def _fonts(_: datetime) -> Looked:
    from pinchbolt.drawing import FONTS

    faces = ("B612-Regular.otf", "B612-Bold.otf", "B612-Italic.otf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
    wanted = (*faces, "letters.txt", "OFL.txt", "DejaVu-LICENCE.txt")
    lost = [name for name in wanted if not (Path(FONTS) / name).is_file()]
    return Looked(
        "fonts", not lost, worded("missing: {lost}", lost=", ".join(lost)) if lost else worded("all there")
    )


def _clock(now: datetime) -> Looked:
    """A clock that was set back puts new entries before old ones; one set to nonsense does worse."""
    from django.utils import timezone

    from pinchbolt.workshop.acts.history import newest_entry

    newest = newest_entry()
    behind = newest is not None and newest > now + timedelta(minutes=5)
    sane = datetime(2026, 1, 1, tzinfo=UTC) < now and not behind
    words = f"{timezone.localtime(now):%d %b %Y %H:%M} ({timezone.get_current_timezone_name()})"
    return Looked("clock", sane, worded("{words}, before the newest entry", words=words) if behind else words)


def _tools(now: datetime) -> Looked:
    from django.utils import timezone

    from pinchbolt.workshop.tools.tool_board import tool_board

    tools, _ = tool_board(timezone.localtime(now).date())
    due = [tool.name for tool in tools if tool.is_due and tool.in_use]
    return Looked(
        "tools",
        not due,
        worded("due for recalibration: {due}", due=", ".join(due))
        if due
        else worded("none due for recalibration"),
        stops=False,
    )


def _backup(now: datetime) -> Looked:
    """A disk that dies takes everything since the last copy; one place alone dies with its disk."""
    from pinchbolt.serving.keeping_copies import newest_good
    from pinchbolt.workshop.acts.lookups import has_workshop, terms

    second = terms().backup_place if has_workshop() else ""
    told, good = [], True
    for what, folder in (("here", home_folder() / "backups"), (worded("at the second place"), Path(second))):
        if what != "here" and not second:
            told.append(worded("no second place is chosen: see settings, safe keeping"))
            continue
        newest = newest_good(folder)
        good = good and newest is not None and now - newest <= timedelta(days=_OLDEST_BACKUP_DAYS)
        told.append(
            worded(
                "the last one {what}: {age}",
                what=what,
                age=_age(now - newest) if newest is not None else worded("none yet"),
            )
        )
    return Looked("backup", good, "; ".join(told), stops=False, soon=True)


def _age(old: timedelta) -> str:
    minutes = max(0, round(old / timedelta(minutes=1)))
    if minutes < 120:
        return worded("{minutes} minutes old", minutes=minutes)
    return (
        worded("{minutes} hours old", minutes=minutes // 60)
        if minutes < 48 * 60
        else worded("{minutes} days old", minutes=minutes // 1440)
    )


def _https(now: datetime) -> Looked:
    """The authority ends after ten years: tablets must take a new one in before."""
    from pinchbolt.serving.authority import authority_until, machine_until

    until, machine = authority_until(), machine_until()
    if until is None or machine is None:
        return Looked("https", True, worded("not served to the network yet"))
    words = worded(
        "this machine is vouched for until {machine:%d %b %Y}, the authority is good until {until:%d %b %Y}",
        machine=machine,
        until=until,
    )
    return Looked("https", now < until - timedelta(days=_AUTHORITY_SOON_DAYS), words, stops=False, soon=True)
