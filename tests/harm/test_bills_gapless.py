"""Two tellers at once, killed again and again: the bills are numbered without a gap, and none that was said is lost."""

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

from tests.new_home import lay_new

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = int(os.environ.get("PINCHBOLT_KILLS", "4")) // 2
# A killed teller leaves its bike on its stand: each has one of its own.
SHOP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests import story
story.open_shop()
from pinchbolt.records.models import Workshop
Workshop.objects.update(stands={stands})
"""


def _run(home: Path, *words: str) -> "subprocess.Popen[str]":
    around = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    return subprocess.Popen([sys.executable, *words], cwd=ROOT, env=around, stdout=subprocess.PIPE, text=True)


def test_two_tellers_that_are_killed_leave_no_gap(tmp_path: Path) -> None:
    """Each round two tellers hand over at once and are killed in the middle of the next bike."""
    assert _run(lay_new(tmp_path), "-c", SHOP.format(stands=2 * ROUNDS)).wait() == 0
    said: list[str] = []
    for number in range(ROUNDS):
        tellers = [_run(tmp_path, "-m", "tests.harm.teller", "1000", str(2 * number + one)) for one in (1, 2)]
        for teller in tellers:
            assert teller.stdout is not None
            said += [teller.stdout.readline().strip() for _ in range(2)]
            assert said[-1], "a teller stopped by itself"
        for teller in tellers:
            teller.send_signal(signal.SIGKILL)
            teller.wait()
            assert teller.stdout is not None
            said += [
                line
                for line in teller.stdout.read().split("\n")
                if line.endswith(tuple("0123456789")) and "-" in line
            ]
            teller.stdout.close()
    with sqlite3.connect(tmp_path / "bench.sqlite3") as found:
        rows = found.execute("SELECT year, number FROM records_bill ORDER BY year, number").fetchall()
        gone = found.execute("SELECT count(*) FROM records_event WHERE kind = 'handed over'").fetchone()[0]
    (year,) = {row[0] for row in rows}
    assert [row[1] for row in rows] == list(range(1, len(rows) + 1))
    assert gone == len(rows) >= len(said) >= 4 * ROUNDS
    assert set(said) <= {f"{year}-{row[1]:04d}" for row in rows}
