"""The plug is pulled half-way: what was said to be saved is there, whole, and nothing is half-written."""

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

from tests.new_home import lay_new

ROOT = Path(__file__).resolve().parents[2]


def _started(home: Path) -> subprocess.Popen[str]:
    surroundings = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(lay_new(home)),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    return subprocess.Popen(
        [sys.executable, "-m", "tests.harm.writer", "100000"],
        cwd=ROOT,
        env=surroundings,
        stdout=subprocess.PIPE,
        text=True,
    )


def test_a_killed_server_loses_no_reading_that_was_acknowledged(tmp_path: Path) -> None:
    """kill -9 after five acknowledged readings: all five are there, each with its event and its finding."""
    writer = _started(tmp_path)
    assert writer.stdout is not None
    said = [int(writer.stdout.readline()) for _ in range(5)]
    writer.send_signal(signal.SIGKILL)
    writer.wait()
    said += [int(line) for line in writer.stdout.read().split("\n") if line.strip().isdigit()]
    writer.stdout.close()
    with sqlite3.connect(tmp_path / "bench.sqlite3") as found:
        assert found.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert found.execute("PRAGMA foreign_key_check").fetchall() == []
        kept = {row[0] for row in found.execute("SELECT event_id FROM records_reading")}
        findings = {
            row[0]
            for row in found.execute("SELECT reading_id FROM records_finding WHERE reading_id IS NOT NULL")
        }
        acts = found.execute("SELECT count(*) FROM records_event WHERE kind = 'reading taken'").fetchone()[0]
    assert set(said) <= kept
    assert findings == kept
    assert acts == len(kept)


def test_the_journal_is_safe_for_this_library() -> None:
    """WAL is used only with an SQLite that is free of the WAL-reset fault."""
    from pinchbolt.serving.sqlite import is_mended, journal_mode

    assert [is_mended(version) for version in ((3, 40, 1), (3, 51, 2), (3, 51, 3), (3, 50, 7), (3, 50, 6), (3, 44, 6), (4, 0, 0))] == [
        False, False, True, True, False, True, True,
    ]  # fmt: skip
    assert journal_mode() in ("WAL", "DELETE")
