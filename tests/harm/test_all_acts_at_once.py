"""Acts of the job screens by eight tablets at one moment, on both databases: none twice, none a fault of ours.

The tests play a few of them; PINCHBOLT_EVERY_ACT=1 plays every one (`make drill` does).
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.harm.all_acts_at_once import PEOPLE, TAPS
from tests.harm.postgres_server import NotInstalled, programs, serving

ROOT = Path(__file__).resolve().parents[2]
# Each so-many-th act of the list: a reading, an answer, money, a look and the like, another share on each database.
STEP = {"sqlite": ("1", "24"), "postgresql": ("7", "24")}
# What a second tap or a second person may be told: done, not possible any more, not here any more, fill it in anew.
FINE = {"303", "409", "404", "422"}


def played(database: str, home: Path, url: str = "") -> dict[str, dict[str, dict[str, int]]]:
    """How every act of this share ended, by its name."""
    around = {name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"}
    around |= {
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    around |= {"PINCHBOLT_DATABASE": url} if url else {}
    share = ("0", "1") if os.environ.get("PINCHBOLT_EVERY_ACT") else STEP[database]
    words = [sys.executable, "-W", "ignore", "-m", "tests.harm.all_acts_at_once", *share]
    told: dict[str, dict[str, dict[str, int]]] = json.loads(
        subprocess.check_output(words, cwd=ROOT, env=around, text=True, stderr=subprocess.DEVNULL)
    )
    return told


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_what_eight_tablets_send_at_once_is_written_once(database: str, tmp_path: Path) -> None:
    """Four taps of one form all lead on and are one act; of four people with a form each, nobody meets a 500."""
    if database == "sqlite":
        seen = played(database, tmp_path)
    else:
        try:
            programs()
        except NotInstalled as missing:
            pytest.skip(str(missing))
        with serving(laid=True) as url:
            seen = played(database, tmp_path, url)
    assert len(seen) >= 2
    for name, ended in seen.items():
        assert sum(ended["taps"].values()) == TAPS and sum(ended["people"].values()) == PEOPLE
        assert {*ended["taps"], *ended["people"]} <= FINE, (name, ended)
        # The form's own mark once, or another person was first.
        assert ended["written"] <= 1, (name, ended)
        assert len(ended["taps"]) == 1, (name, ended)
        assert "303" in {*ended["taps"], *ended["people"]}, (name, ended)
