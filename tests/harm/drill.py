"""`make drill`: 300 rounds of kill -9 on each database during eight writers, and the other ways in which a shop's machine fails.

    python3 launch.py drill              the whole, about an hour
    python3 launch.py drill --rounds 4   the same in small, as the tests play it
    python3 launch.py drill --only PostgreSQL --what "disk full" --rarer 5        one row alone

Printed is a table: what was acknowledged and lost, what is half there, what is there twice. Nothing may be.
Needs root for a disk of its own that can be filled; without, that row says that it was not played.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.harm.postgres_server import NotInstalled, running

ROOT = Path(__file__).resolve().parents[2]
SEED = 20261128
_SMALL_DISK = "size=64m"
_SMALL_PG_DISK = "size=160m"


@dataclass(frozen=True, slots=True)
class Played:
    """A row of the table: what was played on which database, what came of it, and for how long. `skipped` says why it was not."""

    what: str
    database: str
    came: dict[str, Any]
    seconds: float
    skipped: str = ""

    @property
    def holds(self) -> bool:
        """Whether nothing was lost, half, twice or answered wrongly."""
        return not self.skipped and not (
            self.came["lost"] or self.came["halves"] or self.came["twice"] or self.came["faults"]
        )


ON_SQLITE = ("killed", "read-only home", "clock set back", "two servers", "restored elsewhere", "disk full")
ON_POSTGRESQL = ("killed with its database", "read-only database", "clock set back", "disk full")


def all_of(rounds: int, only: str = "", rarer: int = 0, what_only: str = "") -> list[tuple[str, str, int]]:
    """What is played, on which database, how often: the rarer ways a tenth as often as the kills, or *rarer* times.

    *only* and *what_only* leave one database, one way to fail.
    """
    plan = [("SQLite", ON_SQLITE), ("PostgreSQL", ON_POSTGRESQL)]
    return [
        (what, database, rounds if what.startswith("killed") else rarer or max(1, rounds // 10))
        for database, names in plan
        for what in names
        if only in ("", database) and what_only in ("", what)
    ]


def drills(plan: list[tuple[str, str, int]]) -> Iterator[Played]:
    """Every row of the table, one after the other."""
    for what, database, rounds in plan:
        if what == "disk full":
            yield _on_small_disk(database, rounds)
        elif database == "PostgreSQL":
            yield _on_postgresql(what, rounds)
        else:
            yield _on_sqlite(what, rounds)


def _on_sqlite(what: str, rounds: int) -> Played:
    with tempfile.TemporaryDirectory(prefix="pinchbolt-drill-") as place:
        return _play(what, "SQLite", rounds, Path(place))


def _play(
    what: str, database: str, rounds: int, place: Path, url: str = "", kill: Callable[[], None] | None = None
) -> Played:
    """Play one drill in a process of its own."""
    around = {name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"}
    around |= {
        "PINCHBOLT_HOME": str(place / "home"),
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        "PYTHONWARNINGS": "ignore",
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
    }
    around |= {"PINCHBOLT_DATABASE": url} if url else {}
    began = time.monotonic()
    words = [sys.executable, "-m", "tests.harm.drill_ways", what, str(rounds), str(SEED), str(place)]
    with subprocess.Popen(
        words,
        cwd=ROOT,
        env=around,
        text=True,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as played:
        assert played.stderr is not None and played.stdin is not None and played.stdout is not None
        said = []
        for line in played.stderr:
            if line.startswith("kill the database") and kill is not None:
                kill()
                played.stdin.write("done\n")
                played.stdin.flush()
            else:
                said.append(line)
        told = played.stdout.read()
    if played.returncode:
        raise RuntimeError(f"{what} on {database}: {''.join(said)[-2000:]}")
    return Played(what, database, json.loads(told), time.monotonic() - began)


def _on_postgresql(what: str, rounds: int) -> Played:
    try:
        with running(laid=True) as server, tempfile.TemporaryDirectory(prefix="pinchbolt-drill-") as place:
            return _play(what, "PostgreSQL", rounds, Path(place), server.url, server.kill_and_start)
    except NotInstalled as missing:
        return Played(what, "PostgreSQL", {}, 0.0, str(missing))


def _on_small_disk(database: str, rounds: int) -> Played:
    """A disk of its own, for the records alone, that can be filled."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return Played("disk full", database, {}, 0.0, "needs root, for a small disk of its own")
    with tempfile.TemporaryDirectory(prefix="pinchbolt-drill-") as place:
        try:
            if database == "SQLite":
                with _small_disk(Path(place), _SMALL_DISK):
                    return _play("disk full", database, rounds, Path(place))
            with _small_disk(Path(place), _SMALL_PG_DISK), running(Path(place)) as server:
                return _play("disk full", database, rounds, Path(place), server.url)
        except (NotInstalled, subprocess.CalledProcessError) as missing:
            return Played("disk full", database, {}, 0.0, str(missing))


@contextmanager
def _small_disk(place: Path, size: str) -> Iterator[None]:
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"{size},mode=0755", "tmpfs", str(place)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


COLUMNS = ("rounds", "acknowledged", "again", "away", "lost", "halves", "twice")


def table(rows: list[Played]) -> str:
    """The table, as docs/how-to/when-it-fails.md shows it."""
    head = "| what | database | rounds | acknowledged | sent again | told to try again | lost | halves | twice | s |"
    lines = [head, "|---|---|---|---|---|---|---|---|---|---|"]
    for row in rows:
        if row.skipped:
            lines.append(f"| {row.what} | {row.database} | not played: {row.skipped} |")
            continue
        figures = " | ".join(f"{row.came[column]:,}" for column in COLUMNS)
        lines.append(f"| {row.what} | {row.database} | {figures} | {row.seconds:,.0f} |")
        lines += [f"  {fault}" for fault in row.came["faults"][:5]]
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Play them all and print the table; 1 where anything was lost."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--rounds", type=int, default=300)
    asked.add_argument("--only", default="", choices=["", "SQLite", "PostgreSQL"], help="database")
    asked.add_argument(
        "--what", default="", choices=["", *sorted({*ON_SQLITE, *ON_POSTGRESQL})], help="way to fail"
    )
    asked.add_argument(
        "--rarer", type=int, default=0, help="rounds of all but the kills; else a tenth as many"
    )
    told = asked.parse_args(arguments)
    rows = []
    for row in drills(all_of(told.rounds, told.only, told.rarer, told.what)):
        rows.append(row)
        sys.stdout.write(table([row]).split("\n", 2)[2] + "\n")
        sys.stdout.flush()
    sys.stdout.write(table(rows) + "\n")
    sys.stderr.write("".join(row.came["words"] for row in rows if not row.skipped and row.came["faults"]))
    return 0 if all(row.holds or row.skipped for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
