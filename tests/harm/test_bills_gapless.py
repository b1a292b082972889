"""Two tellers at once, killed again and again: the bills are numbered without a gap, and none that was said is lost."""

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = int(os.environ.get("PINCHBOLT_KILLS", "4")) // 2


def test_two_tellers_that_are_killed_leave_no_gap(tmp_path: Path) -> None:
    """Each round two tellers hand over at once and are killed in the middle of the next bike."""
    around = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    played = [sys.executable, "-m", "tests.harm.teller", str(ROUNDS)]
    said: list[str] = json.loads(subprocess.check_output(played, cwd=ROOT, env=around, text=True))
    with sqlite3.connect(tmp_path / "bench.sqlite3") as found:
        rows = found.execute("SELECT year, number FROM records_bill ORDER BY year, number").fetchall()
        gone = found.execute("SELECT count(*) FROM records_event WHERE kind = 'handed over'").fetchone()[0]
    (year,) = {row[0] for row in rows}
    assert [row[1] for row in rows] == list(range(1, len(rows) + 1))
    assert gone == len(rows) >= len(said) >= 4 * ROUNDS
    assert set(said) <= {f"{year}-{row[1]:04d}" for row in rows}
