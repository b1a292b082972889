"""The commands that look after the installation: doctor, backup, serve."""

import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import COMMAND, outside, run_outside
from tests.servers import GIVE_UP_S, answered, free_port

LOOKED_AT = [
    "python",
    "home folder",
    "disk",
    "database library",
    "database",
    "what is so now",
    "trade tables",
    "fonts",
    "clock",
    "tools",
    "backup",
    "https",
]


def test_a_well_installation_is_said_to_be_well(home: Path) -> None:
    """Every thing by name, each good."""
    ran = run_outside(home, "doctor", "--json")
    assert [one["what"] for one in ran.json["checks"]] == LOOKED_AT
    assert ran.json["well"], [one for one in ran.json["checks"] if not one["good"]]
    # 1 where no copy was made yet.
    assert ran.code == ran.json["exit_code"] < 2


def test_own_tables_are_checked_by_a_command_of_the_shop(home: Path, tmp_path: Path) -> None:
    """What a folder changes, row by row; a bad row by file, row and field; a folder that is none."""
    own = tmp_path / "limits.toml"
    own.write_text('[[limit]]\nid = "dropper-hours"\nlimit = 400\n', encoding="utf-8")
    ran = run_outside(home, "tables", str(tmp_path))
    assert ran.code == 0
    assert 'limits.toml, row "dropper-hours", limit: 400' in ran.out and "rows are sound." in ran.out
    own.write_text('[[limit]]\nid = "dropper-hours"\nlimit = "late"\n', encoding="utf-8")
    ran = run_outside(home, "tables", str(tmp_path))
    assert ran.code == 2 and 'row "dropper-hours", field "limit"' in ran.err
    assert "is no folder" in run_outside(home, "tables", str(tmp_path / "none")).err
    assert "changes nothing" in run_outside(home, "tables").out


def test_a_row_that_points_nowhere_is_found(home: Path, tmp_path: Path) -> None:
    """The database is looked through, not only opened."""
    hurt = tmp_path / "bench.sqlite3"
    with closing(sqlite3.connect(home / "bench.sqlite3")) as good, closing(sqlite3.connect(hurt)) as copy:
        good.backup(copy)
        copy.execute("PRAGMA foreign_keys=OFF")
        copy.execute("DELETE FROM records_owner")
        copy.commit()
    ran = run_outside(tmp_path, "doctor", "--json")
    database = next(one for one in ran.json["checks"] if one["what"] == "database")
    assert ran.code == 2 and not database["good"] and "2 rows point nowhere" in database["words"]


def test_a_backup_opens_and_holds_every_entry(home: Path, tmp_path: Path) -> None:
    """Counted by another program, and the original is untouched."""
    ran = run_outside(home, "backup", "--folder", str(tmp_path / "copies"), "--json")
    assert ran.code == 0
    with (
        closing(sqlite3.connect(ran.json["file"])) as copy,
        closing(sqlite3.connect(home / "bench.sqlite3")) as own,
    ):
        counted = copy.execute("SELECT COUNT(*) FROM records_event").fetchone()[0]
        assert (
            counted
            == own.execute("SELECT COUNT(*) FROM records_event").fetchone()[0]
            == ran.json["events"]
            > 10
        )
        assert copy.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert [path.name for path in (tmp_path / "copies").iterdir()] == [Path(ran.json["file"]).name]


_TWICE = """
import sys, django
django.setup()
from datetime import UTC, datetime
from pathlib import Path
from pinchbolt.serving.backup import back_up
from pinchbolt.errors import NotPossibleNow
when, folder = datetime(2026, 11, 25, 10, 0, tzinfo=UTC), Path(sys.argv[1])
made = back_up(when, folder)
before = made.file.read_bytes()
try:
    back_up(when, folder)
except NotPossibleNow as refusal:
    print(refusal.sentence)
print(made.file.read_bytes() == before, sorted(path.name for path in folder.iterdir()))
"""


def test_a_backup_never_takes_the_place_of_another(home: Path, tmp_path: Path) -> None:
    """A second one in the same second is refused, and nothing half-made stays."""
    told = subprocess.run(
        [sys.executable, "-c", _TWICE, str(tmp_path)],
        env=outside(home, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings"),
        capture_output=True,
        text=True,
        check=True,
    ).stdout.splitlines()
    assert "is there already: nothing is overwritten" in told[0]
    assert told[1] == "True ['bench-2026-11-25-100000.sqlite3']"


@pytest.mark.skipif(not hasattr(signal, "SIGTERM"), reason="the machine has no such signal")
def test_serve_opens_the_bench_book_says_a_taken_port_and_stops_when_told(home: Path) -> None:
    """Address and names are printed; a second server on the port ends in a sentence; SIGTERM ends it cleanly."""
    port = free_port()
    server = subprocess.Popen(
        [*COMMAND, "serve", "--port", str(port)],
        env=outside(home),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert b"Ines Holloway" in answered(
            f"http://127.0.0.1:{port}/sign-in/", lambda: server.poll() is None
        )
        second = run_outside(home, "serve", "--port", str(port))
        assert second.code == 2
        assert second.err == (
            f"Port {port} is taken by another program: choose another one. Try: pinchbolt serve --port {port + 1}"
        )
    finally:
        server.send_signal(signal.SIGTERM)
        out, err = server.communicate(timeout=GIVE_UP_S)
    assert f"Open http://127.0.0.1:{port}" in out and out.rstrip().endswith(
        "Stopped. What was written down is kept."
    )
    assert server.returncode == 0 and "Traceback" not in err
