"""`make mutate`: plants small faults, one at a time, and says which of them the tests of their own room do not see.

    make mutate                                     300 changes, drawn by the seed of the project
    make mutate ARGS="--count 40"                   a quick look
    make mutate ARGS="--room engines/torque"        one room (may be repeated); of the workshop too: workshop/torque
    make mutate ARGS="--only 3fa2c15d --all"        one change again, by the name that the report gives it

Runs the tests of the rooms once to find which reach which line, then for each change those that reach it, the quickest first, until
one fails. See docs/tests.md.
"""

import argparse
import dataclasses
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.kept_stages import ANEW
from tests.mutate import report
from tests.mutate.places import FOLDER, ROOMS, ROOT, Mutant, sample

SEED = 20261128
EVERY = 10**6


def chosen(asked: argparse.Namespace) -> list[Mutant]:
    """The mutants that were asked for."""
    rooms = tuple(asked.room) or ROOMS
    if asked.only:
        return [mutant for mutant in sample(EVERY, asked.seed, rooms) if mutant.id in asked.only]
    return sample(asked.skip + asked.count, asked.seed, rooms)[asked.skip :]


def tests_of(mutants: Sequence[Mutant]) -> list[str]:
    """Folders whose tests are asked: those of the rooms that have a mutant, and those that belong to all."""
    folders = sorted({f"tests/{mutant.room}" for mutant in mutants})
    return [name for name in [*folders, "tests/published"] if (ROOT / name).is_dir()]


def main(words: Sequence[str]) -> int:
    """Draw, run, report; 1 where the share that was seen is below what was asked for."""
    ask = argparse.ArgumentParser(
        prog="make mutate", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    ask.add_argument("--count", type=int, default=300, help="how many changes")
    ask.add_argument("--skip", type=int, default=0, help="leave out the first so many of the sample")
    ask.add_argument("--seed", type=int, default=SEED, help="draws others")
    ask.add_argument("--room", action="append", default=[], help="engines/torque, workshop, ...")
    ask.add_argument("--only", action="append", default=[], help="names of changes")
    ask.add_argument("--jobs", type=int, default=2, help="processes at once")
    ask.add_argument(
        "--budget", type=float, default=60.0, help="processor seconds of tests a change, at most"
    )
    ask.add_argument("--all", action="store_true", help="tell of every change, not of survivors alone")
    asked = ask.parse_args(words)
    mutants = chosen(asked)
    if not mutants:
        report.say("No change of that name or in that room.")
        return 2
    with tempfile.TemporaryDirectory(prefix="pinchbolt-mutants-") as name:
        folder = Path(name)
        given = {"jobs": asked.jobs, "budget": asked.budget, "all": asked.all}
        given["mutants"] = [dataclasses.asdict(mutant) for mutant in mutants]
        (folder / "asked.json").write_text(json.dumps(given), encoding="utf-8")
        command = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "--no-header",
            "--no-summary",
            "-p",
            "tests.mutate.warm",
        ]
        command += [
            "-p",
            "no:cacheprovider",
            "-p",
            "no:xdist",
            "--hypothesis-profile=mutants",
            *tests_of(mutants),
        ]
        around = {
            **os.environ,
            ANEW: "1",
            FOLDER: str(folder),
            "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}",
        }
        return subprocess.call(command, cwd=ROOT, env=around)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
