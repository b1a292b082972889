"""What it costs to load the invented workshop: processor time of `pinchbolt demo`, from its start to its end, and its parts.

    python -m ratios.demo_load [--times 3]

The environment stands, and what the engines compile for a user is there: a load before the first one counts for neither. Told is
the least of some loads, each in a process and a home folder of its own. Bar: 20 s.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

BAR_S = 20.0
# The command's own steps (cli/demo_command.py), with a look at the clock of the processor between them.
_LOAD = """
import json, sys, time
from pinchbolt.serving.home import into_the_demo
into_the_demo()
from pinchbolt.cli.starting import load
load()
at = [time.process_time()]
from pinchbolt.serving.migrating import migrate
migrate()
at.append(time.process_time())
from django.db import connection
asked = [0, 0.0]
def count(execute, *given):
    began = time.thread_time()
    try:
        return execute(*given)
    finally:
        asked[0] += 1
        asked[1] += time.thread_time() - began
from pinchbolt.serving.making_demo import make_the_demo
with connection.execute_wrapper(count):
    bikes = make_the_demo()
at.append(time.process_time())
assert bikes == 12
print(json.dumps({"start": at[0], "tables": at[1] - at[0], "load": at[2] - at[1], "asked": asked[0], "database": asked[1]}))
"""


def load() -> tuple[float, dict[str, float]]:
    """Load it once; return the processor time of the whole process, and of its parts. [s]"""
    around = {
        name: value for name, value in os.environ.items() if not name.startswith(("DJANGO", "PINCHBOLT"))
    }
    with tempfile.TemporaryDirectory(prefix="pinchbolt-demo-load-") as folder:
        around |= {
            "PINCHBOLT_HOME": str(Path(folder) / "home"),
            "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        }
        before = os.times()
        said = subprocess.run(
            [sys.executable, "-c", _LOAD], env=around, check=True, stdout=subprocess.PIPE, text=True
        )
        after = os.times()
    spent = after.children_user - before.children_user + after.children_system - before.children_system
    parts: dict[str, float] = json.loads(said.stdout)
    return spent, parts


def main() -> int:
    """Print the least of some loads with its parts, and 1 where it takes longer than its bar."""
    asked = argparse.ArgumentParser(prog="demo_load", description=__doc__.split("\n")[0])
    asked.add_argument("--times", type=int, default=3)
    times = asked.parse_args().times
    load()
    found = sorted((load() for _ in range(times)), key=lambda one: one[0])
    least, parts = found[0]
    print(", ".join(f"{spent:.1f}" for spent, _ in found), "s of processor time")
    print(
        f"the least: start {parts['start']:.1f} s, tables {parts['tables']:.1f} s, the year {parts['load']:.1f} s; "
        f"{parts['asked']:.0f} statements, in the database itself {parts['database']:.1f} s"
    )
    print(f"bar {BAR_S:g} s: {'holds' if least < BAR_S else 'DOES NOT HOLD'}")
    return 0 if least < BAR_S else 1


if __name__ == "__main__":
    sys.exit(main())
