"""Copies that make themselves: each day, each minute, at two places, thinned as they age; with the keys, if somebody chose that."""

import json
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused
from pinchbolt.serving.keeping_copies import kept_of
from pinchbolt.serving.sealed_key import open_keys, put_keys, seal_keys
from tests.cli.conftest import outside, run_outside

NOW = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
WORDS = "kettle beside nine lanterns"


@pytest.fixture
def shop(home: Path, tmp_path: Path) -> Path:
    """A home folder of its own."""
    mine = tmp_path / "home"
    shutil.copytree(home, mine, ignore=shutil.ignore_patterns("serving.lock", "static", "tries", "backups"))
    return mine


def test_of_ten_years_of_days_few_copies_stay_and_none_is_missed() -> None:
    """All of two days, a day's last for two weeks, a week's last for a quarter, a month's last for thirteen months."""
    times = [NOW - timedelta(hours=6 * number) for number in range(4 * 3650)]
    kept = kept_of(times, NOW)
    ages = [NOW - made for made in kept]
    assert sum(age <= timedelta(days=2) for age in ages) == 9
    assert 12 <= sum(timedelta(days=2) < age <= timedelta(days=14) for age in ages) <= 13
    assert 11 <= sum(timedelta(days=14) < age <= timedelta(days=92) for age in ages) <= 13
    assert 10 <= sum(age > timedelta(days=92) for age in ages) <= 12
    # Longer would keep erased owners longer.
    assert max(ages) <= timedelta(days=400)


@given(st.lists(st.integers(0, 40_000), max_size=60))
def test_the_newest_copy_stays_whatever_its_age_and_thinning_twice_is_thinning_once(hours: list[int]) -> None:
    """A laptop that lay in a drawer for years still has its last copy; what stayed stays."""
    times = [NOW - timedelta(hours=hour) for hour in hours]
    kept = kept_of(times, NOW)
    assert set(kept) <= set(times)
    assert not times or max(times) in kept
    assert kept_of(kept, NOW) == kept


DAYS = """
import json, sqlite3, sys
from datetime import datetime, timedelta, UTC
from pathlib import Path
import django; django.setup()
from django.db import connection
from pinchbolt.records.models import Event, Workshop
from pinchbolt.serving.keeping_copies import CopyKeeper, MINUTE, newest_good
stick, now, ticks = Path(sys.argv[1]), datetime(2026, 11, 1, 8, 0, tzinfo=UTC), [0.0]
own = Path(sys.argv[2]) / "backups"
Workshop.objects.update(backup_place=str(stick))
keeper, told = CopyKeeper(clock=lambda: ticks[0]), {}
keeper.minute(now)
first = (stick / MINUTE).stat().st_ino
ticks[0] += 60; keeper.minute(now)
told["nothing written, nothing copied"] = (stick / MINUTE).stat().st_ino == first
event = Event.objects.order_by("-pk")[0]
Event.objects.create(at=event.at, by=event.by, kind="found", key="in-the-last-minute", fingerprint="", said={})
ticks[0] += 60; keeper.minute(now)
with sqlite3.connect(stick / MINUTE) as copy:
    told["the last minute is in it"] = copy.execute("SELECT count(*) FROM records_event WHERE key = 'in-the-last-minute'").fetchone()[0]
for hour in range(0, 24 * 20, 8):
    keeper.daily(now + timedelta(hours=hour))
told["here"] = len(list(own.glob("bench-*.sqlite3"))); told["there"] = len(list(stick.glob("bench-*.sqlite3")))
told["modes"] = [oct(path.stat().st_mode & 0o777) for path in stick.iterdir()]
told["age"] = newest_good(stick) is not None
import shutil; shutil.rmtree(stick)
keeper.daily(now + timedelta(days=30))
told["stick drawn"] = len(list(own.glob("bench-2026-12-*.sqlite3")))
print(json.dumps(told))
"""


def test_copies_make_themselves_each_day_and_each_minute_at_two_places(shop: Path, tmp_path: Path) -> None:
    """Twenty days: a copy a day at both, the last minute's changes at the second, for one user alone; a drawn stick stops nothing."""
    stick = tmp_path / "stick"
    stick.mkdir()
    told = json.loads(
        subprocess.check_output(
            [sys.executable, "-W", "ignore", "-c", DAYS, str(stick), str(shop)],
            env=outside(shop, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings"),
            text=True,
        )
    )
    assert told["nothing written, nothing copied"] and told["the last minute is in it"] == 1
    assert told["here"] == told["there"] and 14 <= told["here"] <= 18
    assert set(told["modes"]) == {"0o600"} and told["age"] and told["stick drawn"] == 1


HARM = """
import json, os, resource, signal, sqlite3, sys, time
from datetime import datetime, timedelta, UTC
from pathlib import Path
import django; django.setup()
from pinchbolt.records.models import Event, Workshop
from pinchbolt.serving import keeping_copies
from pinchbolt.serving.keeping_copies import CopyKeeper, MINUTE
stick, own, told = Path(sys.argv[1]), Path(sys.argv[2]) / "backups", {}
Workshop.objects.update(backup_place=str(stick))
now, ticks = datetime(2026, 11, 28, 8, 0, tzinfo=UTC), [0.0]
keeper = CopyKeeper(clock=lambda: ticks[0])
def count(folder): return len(list(folder.glob("bench-*.sqlite3")))

keeper.daily(now)
for minute in range(30):
    keeper.daily(now - timedelta(days=3, minutes=-minute))
told["clock set back"] = [count(own), count(stick)]

keeper.minute(now)
event = Event.objects.order_by("-pk")[0]
Event.objects.create(at=event.at, by=event.by, kind="found", key="in-the-last-minute", fingerprint="", said={})
ticks[0] += 9000; keeper.minute(now)
from django.db import connection
with sqlite3.connect(Path(sys.argv[2]) / "bench.sqlite3") as book:
    for name, in book.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'records_event'").fetchall():
        book.execute(f"DROP TRIGGER {name}")
    book.execute("DELETE FROM records_event WHERE key = 'in-the-last-minute'")
    book.commit()
connection.close()
again = CopyKeeper(clock=lambda: ticks[0])
again.minute(now + timedelta(minutes=5))
aside = list(stick.glob("set-aside-minute-*.sqlite3"))
def holds(file):
    with sqlite3.connect(file) as copy:
        return copy.execute("SELECT count(*) FROM records_event WHERE key = 'in-the-last-minute'").fetchone()[0]
told["went back"] = [len(aside), [holds(one) for one in aside], holds(stick / MINUTE)]
ticks[0] += 9000; Event.objects.create(at=event.at, by=event.by, kind="found", key="after-it", fingerprint="", said={})
again.minute(now + timedelta(minutes=9))
told["once"] = len(list(stick.glob("set-aside-minute-*.sqlite3")))

for old in (".minute.sqlite3.77", ".bench-2026-11-20-080000.sqlite3.78-journal"):
    (stick / old).write_bytes(b"half"); os.utime(stick / old, (time.time() - 2e5,) * 2)
(stick / ".minute.sqlite3.79").write_bytes(b"being made")

real, full = keeping_copies.back_up, []
def sometimes(when, folder):
    if folder != own:
        return real(when, folder)
    full.append(folder)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, hard))
    try:
        return real(when, folder)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
keeping_copies.back_up = sometimes
keeper.daily(now + timedelta(days=2))
told["one disk full"] = [len(full), count(own), count(stick), len(list(own.glob(".*")))]
told["left over"] = sorted(one.name for one in stick.glob(".*"))
keeping_copies.back_up = real
keeping_copies._SPARE = 10**18
keeper.daily(now + timedelta(days=5)); ticks[0] += 9000
Event.objects.create(at=event.at, by=event.by, kind="found", key="no-room", fingerprint="", said={})
before = (stick / MINUTE).stat().st_ino; again.minute(now)
told["no room"] = [count(own), (stick / MINUTE).stat().st_ino == before]
print(json.dumps(told))
"""


def test_copies_harm_neither_the_disk_nor_one_another(shop: Path, tmp_path: Path) -> None:
    """The clock goes back, a disk is full, an older copy was brought back, power went in the middle, there is no room.

    Before asking: one copy a day whatever the clock says; a full disk costs the second place nothing; the last minutes of a book that
    went back to yesterday are set aside, once; what was left half-made goes after a day; a disk that is nearly full is left alone.
    """
    stick = tmp_path / "stick"
    stick.mkdir()
    told = json.loads(
        subprocess.check_output(
            [sys.executable, "-W", "ignore", "-c", HARM, str(stick), str(shop)],
            env=outside(shop, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings"),
            text=True,
        )
    )
    assert told["clock set back"] == [2, 2]
    assert told["went back"] == [1, [1], 0] and told["once"] == 1
    assert told["one disk full"] == [1, 2, 3, 0] and told["left over"] == [".minute.sqlite3.79"]
    assert told["no room"] == [2, True]


def test_the_doctor_tells_a_monitor_how_old_the_last_copy_is(shop: Path) -> None:
    """0 well, 1 no copy or an old one, 2 the records are not whole."""
    ran = run_outside(shop, "doctor", "--json")
    backup = next(one for one in ran.json["checks"] if one["what"] == "backup")
    assert (ran.code, ran.json["exit_code"], backup["good"]) == (1, 1, False) and "none yet" in backup[
        "words"
    ]
    run_outside(shop, "backup")
    ran = run_outside(shop, "doctor", "--json")
    backup = next(one for one in ran.json["checks"] if one["what"] == "backup")
    assert ran.code == 0 and "0 minutes old" in backup["words"] and "no second place" in backup["words"]
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as hurt:
        hurt.execute("PRAGMA foreign_keys=OFF")
        hurt.execute("DELETE FROM records_owner")
        hurt.commit()
    assert run_outside(shop, "doctor").code == 2


def test_keys_travel_sealed_by_choice_and_open_with_their_passphrase_alone(
    shop: Path, tmp_path: Path
) -> None:
    """A copy has none until somebody chooses; the wrong passphrase changes nothing; a new machine has the old key afterwards."""
    words, wrong = tmp_path / "words.txt", tmp_path / "wrong.txt"
    words.write_text(WORDS, encoding="utf-8")
    wrong.write_text("kettle beside ten lanterns", encoding="utf-8")
    bare = run_outside(shop, "backup", "--folder", str(tmp_path / "bare"), "--json")
    assert bare.json["keys"] is False
    ran = run_outside(
        shop,
        "backup",
        "--folder",
        str(tmp_path / "keys"),
        "--with-keys",
        "--passphrase-file",
        str(words),
        "--json",
    )
    copy, key = Path(ran.json["file"]), (shop / "secret-key").read_bytes()
    assert (
        ran.json["keys"] is True and key not in copy.read_bytes() and WORDS.encode() not in copy.read_bytes()
    )
    new = tmp_path / "new-machine"
    ended = run_outside(
        new, "restore", str(copy), "--replace", "--with-keys", "--passphrase-file", str(wrong)
    )
    assert ended.code == 2 and "do not open" in ended.err
    ended = run_outside(
        new, "restore", bare.json["file"], "--replace", "--with-keys", "--passphrase-file", str(words)
    )
    assert ended.code == 2 and "carries no keys" in ended.err
    ended = run_outside(
        new, "restore", str(copy), "--replace", "--with-keys", "--passphrase-file", str(words)
    )
    assert ended.code == 0, ended.err
    assert (new / "secret-key").read_bytes() == key and (new / "secret-key").stat().st_mode & 0o77 == 0
    with closing(sqlite3.connect(new / "bench.sqlite3")) as here:
        assert here.execute("SELECT count(*) FROM sqlite_master WHERE name LIKE 'kept%'").fetchone() == (0,)


def test_sealed_keys_are_bound_to_every_bit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One changed bit, or half of it, is refused; an easy passphrase seals nothing."""
    monkeypatch.setenv("PINCHBOLT_HOME", str(tmp_path))
    (tmp_path / "secret-key").write_text("abc", encoding="ascii")
    sealed = seal_keys(WORDS).read_bytes()
    assert open_keys(sealed, WORDS) == {"secret-key": b"abc"}
    told = json.loads(sealed)
    told["sealed"] = ("B" if told["sealed"][0] == "A" else "A") + told["sealed"][1:]
    for hurt in (json.dumps(told).encode(), sealed[:-9], b"", b"[]", b'{"salt": 1}'):
        with pytest.raises(InputRefused, match="do not open"):
            open_keys(hurt, WORDS)
    with pytest.raises(InputRefused):
        seal_keys("short")
    put_keys({"secret-key": b"xyz"})
    assert (tmp_path / "secret-key").read_bytes() == b"xyz"
