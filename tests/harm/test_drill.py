"""The drill in small: what `make drill` plays for an hour is played once on each database, and it would see what is lost."""

import os
import subprocess
import sys
from pathlib import Path

from tests.harm.drill import COLUMNS, ROOT, Played, drills, table
from tests.harm.drill_shop import HALVES, PAIRS

# The kills, and a copy opened elsewhere; the rest is a minute more each and stays for `make drill`.
SHORT = [
    ("killed", "SQLite", 2),
    ("restored elsewhere", "SQLite", 1),
    ("killed with its database", "PostgreSQL", 3),
]


def test_nothing_acknowledged_is_lost_on_either_database() -> None:
    """Server, database and writers are killed, the home is shut, a copy opens elsewhere: 0 lost, 0 halves, 0 twice."""
    seen = [row for row in drills(SHORT) if not row.skipped]
    assert [table([row]) for row in seen if not row.holds] == []
    assert all(row.came["rounds"] and row.came["acknowledged"] > 8 for row in seen)


SEES = """
from tests.harm.drill_shop import Drill, connection_says
drill = Drill(1)
drill.make_ready()
drill.keys.append("never-written-down")
connection_says("DELETE FROM records_fitting WHERE id = (SELECT max(id) FROM records_fitting)")
drill.look()
print(drill.came.lost, drill.came.halves)
import sys
print("pinchbolt.api.writes" in sys.modules, "pinchbolt.bench.urls" in sys.modules)
"""


def test_the_drill_sees_what_is_lost_and_what_is_half_there(tmp_path: Path) -> None:
    """An act that was never written and a bike without one of its parts are counted; and every round plays the same program."""
    around = {name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"}
    around["DJANGO_SETTINGS_MODULE"] = "pinchbolt.serving.settings"
    around |= {"PINCHBOLT_HOME": str(tmp_path), "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)])}
    told = subprocess.check_output(
        [sys.executable, "-W", "ignore", "-c", SEES], cwd=ROOT, env=around, text=True
    )
    assert told.split() == ["1", "1", "True", "True"]


def test_a_row_that_lost_something_does_not_hold() -> None:
    """Lost, half, twice or a wrong answer: each alone is enough."""
    good = dict.fromkeys(COLUMNS, 0) | {"faults": []}
    assert Played("killed", "SQLite", good, 1.0).holds
    for column in ("lost", "halves", "twice"):
        assert not Played("killed", "SQLite", good | {column: 1}, 1.0).holds
    assert not Played("killed", "SQLite", good | {"faults": ["500"]}, 1.0).holds
    assert HALVES and PAIRS
