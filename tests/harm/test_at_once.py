"""Many people, one moment, both databases: nothing is done twice, nobody meets a fault of ours."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.harm.at_once import HANDS, RACES
from tests.harm.postgres_server import NotInstalled, programs, serving

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = int(os.environ.get("PINCHBOLT_RACES", "1"))
# What a person may be told who came second.
REFUSALS = {"NotPossibleNow"}


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> Iterator[str]:
    """The database: a file in the home folder (""), or a server of our own."""
    if request.param == "sqlite":
        yield ""
        return
    try:
        programs()
    except NotInstalled as missing:
        pytest.skip(str(missing))
    with serving(laid=True) as address:
        yield address


def test_what_eight_people_do_at_once_is_done_once(url: str, tmp_path: Path) -> None:
    """Eight bikes are eight, one mark is one bike, one bike has one job, one handover, one stand, one correction."""
    around = {name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"}
    around |= {
        "PINCHBOLT_HOME": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    around |= {"PINCHBOLT_DATABASE": url} if url else {}
    told = subprocess.check_output(
        [sys.executable, "-m", "tests.harm.at_once", str(ROUNDS)], cwd=ROOT, env=around, text=True
    )
    seen = json.loads(told)
    assert set(seen) == set(RACES)
    for name, rounds in seen.items():
        assert len(rounds) == ROUNDS
        for ends, rows in rounds:
            assert set(ends) <= {"done", *REFUSALS}, (name, ends)
            assert rows == (HANDS if name == "new bikes" else 1), (name, rows)
            done = HANDS if name in ("new bikes", "one mark") else 1
            assert ends["done"] == done and sum(ends.values()) == HANDS, (name, ends)
