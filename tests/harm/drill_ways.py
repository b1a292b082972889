"""What goes wrong in a drill, each in its own way. Run as a program by `tests/harm/drill.py`."""

import json
import os
import sys
import time
from collections.abc import Callable
from dataclasses import asdict
from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.harm.drill_shop import Drill, server_log


def killed(drill: Drill, rounds: int, harder: Callable[[], None] | None = None) -> None:
    """kill -9 in the middle of eight writers, again and again; with *harder* every third time the database's own server as well."""
    for number in range(rounds):
        with drill.serving(hard=True) as port:
            drill.again(port)
            drill.work(port, 30)
            time.sleep(0.15 + drill.luck.random() * 0.8)
            if harder is not None and number % 3 == 2:
                harder()
        drill.rest()
        drill.look()
        drill.came.rounds += 1
        if drill.came.lost or drill.came.halves or drill.came.twice:
            return
    _settle(drill)


def _settle(drill: Drill) -> None:
    with drill.serving() as port:
        drill.again(port)
    drill.look()


def disk_full(drill: Drill, rounds: int, place: Path) -> None:
    """The disk fills up while eight hands write, and is freed again; nothing is killed."""
    for _ in range(rounds):
        balloon = place / "balloon"
        with drill.serving(hard=True) as port:
            _fill(balloon, spare=1_500_000)
            before = drill.came.away
            # Each hand stops where it is told so. PostgreSQL first writes over what it laid aside: on a busy machine that takes minutes.
            drill.work(port, 900)
            drill.rest()
            if drill.came.away == before:
                drill.came.faults.append("the disk was never full")
            balloon.unlink()
            drill.until_the_database_is_back()
            drill.again(port)
        drill.look()
        drill.came.rounds += 1


def _fill(balloon: Path, spare: int) -> None:
    free = os.statvfs(balloon.parent)
    with balloon.open("wb") as file:
        file.write(b"\0" * max(0, free.f_bavail * free.f_frsize - spare))


def read_only(drill: Drill, rounds: int, shut: Callable[[], None], open_again: Callable[[], None]) -> None:
    """Nothing can be written for a while: each is told so, and each is done later."""
    for _ in range(rounds):
        shut()
        with drill.serving(_without_roots_rights, hard=True) as port:
            before = drill.came.acknowledged
            drill.work(port, 5)
            drill.rest()
            if not drill.came.away:
                drill.came.faults.append("nobody was told that nothing can be written")
            if drill.came.acknowledged != before:
                drill.came.faults.append("something was written where nothing can be")
        open_again()
        _settle(drill)
        drill.came.rounds += 1


def _without_roots_rights() -> None:
    """Files that may not be written are not written by root either: without CAP_DAC_OVERRIDE (capabilities(7))."""
    if os.geteuid() != 0:
        return
    import ctypes

    head = (ctypes.c_uint32 * 2)(0x20080522, 0)
    both = (ctypes.c_uint32 * 6)()
    libc = ctypes.CDLL(None, use_errno=True)
    libc.capget(head, both)
    for place in (0, 1):
        both[place] &= ~(1 << 1)
    if libc.capset(head, both):
        raise OSError(ctypes.get_errno(), "the right to write everywhere was not given up")


def clock_back(drill: Drill, rounds: int) -> None:
    """The clock goes back by days in the middle of the work: what is written then is kept, in the order in which it was said."""
    from django.utils import timezone

    true = timezone.now
    for number in range(rounds):
        days = timedelta(days=1 + number)

        def earlier(days: timedelta = days) -> None:
            timezone.now = lambda: true() - days

        with drill.serving(hard=True) as port:
            drill.work(port, 0.6)
            drill.rest()
            drill.again(port)
        with drill.serving(earlier, hard=True) as port:
            drill.work(port, 0.6)
            drill.rest()
            drill.again(port)
        drill.look()
        _in_order(drill)
        drill.came.rounds += 1


def _in_order(drill: Drill) -> None:
    """What each hand said last is what stands last, whatever the clock said."""
    from pinchbolt.records.models import Event

    said: dict[int, list[str]] = {}
    for key, job in Event.objects.filter(kind="limit said").order_by("pk").values_list("key", "job"):
        said.setdefault(job, []).append(key)
    drill.came.faults += [f"out of order at job {job}" for job, keys in said.items() if keys != sorted(keys)]


def two_servers(drill: Drill, rounds: int) -> None:
    """A second server on the same home is refused while the first one lives, and not for a moment longer, however that one ended."""
    from pinchbolt.errors import NotPossibleNow
    from pinchbolt.serving.one_server import alone

    held: list[Any] = []

    def hold() -> None:
        held.append(alone("start it again"))
        held[0].__enter__()

    for _ in range(rounds):
        with drill.serving(hold, hard=True) as port:
            # Answered: so the first one has begun, however slow the machine is.
            drill.send(port, drill.act(0))
            drill.again(port)
            drill.work(port, 30)
            time.sleep(0.4)
            try:
                with alone("start it again"):
                    drill.came.faults.append("two servers hold one home")
            except NotPossibleNow:
                pass
        drill.rest()
        with alone("start it again"):
            drill.look()
        drill.came.rounds += 1
    _settle(drill)


def restored_elsewhere(drill: Drill, rounds: int, place: Path) -> None:
    """A copy is taken in the middle of the work and opened on another path: all that was acknowledged before it began is in it."""
    import subprocess

    from django.utils import timezone

    from pinchbolt.serving.backup import back_up

    for number in range(rounds):
        with drill.serving(hard=True) as port:
            drill.work(port, 1.2)
            time.sleep(0.5)
            before = list(drill.keys)
            copy = back_up(timezone.now() + timedelta(seconds=number), place / "copies").file
            drill.rest()
            drill.again(port)
        drill.look()
        elsewhere = place / f"another-home-{number}"
        around = {**os.environ, "PINCHBOLT_HOME": str(elsewhere)}
        command = "import sys; from pinchbolt.cli import main; sys.exit(main(sys.argv[1:]))"
        done = subprocess.run(
            [sys.executable, "-c", command, "restore", str(copy), "--replace"],
            env=around,
            check=False,
            capture_output=True,
        )
        if done.returncode:
            drill.came.faults.append(f"restore: {done.stderr.decode()[-200:]}")
            continue
        drill.came.lost += _missing(elsewhere / "bench.sqlite3", before)
        drill.came.rounds += 1


def _missing(file: Path, keys: list[str]) -> int:
    import sqlite3

    with sqlite3.connect(file) as there:
        kept = {row[0] for row in there.execute("SELECT key FROM records_event")}
    return sum(key not in kept for key in keys)


def main(what: str, rounds: int, seed: int, place: Path) -> None:
    """Play one drill and say what came of it."""
    drill = Drill(seed)
    drill.make_ready()
    PLAYED[what](drill, rounds, place)
    if drill.came.faults and server_log().exists():
        drill.came.words = server_log().read_text(encoding="utf-8", errors="replace")[-6000:]
    json.dump(asdict(drill.came), sys.stdout)


def _shut_home(place: Path) -> None:
    for one in sorted(place.rglob("*"), reverse=True):
        one.chmod(0o555 if one.is_dir() else 0o444)
    place.chmod(0o555)


def _open_home(place: Path) -> None:
    place.chmod(0o700)
    for one in place.rglob("*"):
        one.chmod(0o700 if one.is_dir() else 0o600)


def _pg_read_only(word: str) -> None:
    from django.db import connection, connections

    with connection.cursor() as cursor:
        cursor.execute("SET default_transaction_read_only = off")
        cursor.execute(f"ALTER DATABASE postgres SET default_transaction_read_only = {word}")
    connections.close_all()


def _pg_kill() -> None:
    """The words for whoever holds the database's server: kill it and start it again."""
    sys.stderr.write("kill the database\n")
    sys.stderr.flush()
    sys.stdin.readline()


def _home() -> Path:
    return Path(os.environ["PINCHBOLT_HOME"])


PLAYED: dict[str, Callable[[Drill, int, Path], None]] = {
    "killed": lambda drill, rounds, _: killed(drill, rounds),
    "killed with its database": lambda drill, rounds, _: killed(drill, rounds, _pg_kill),
    "disk full": disk_full,
    "read-only home": lambda drill, rounds, _: read_only(
        drill, rounds, lambda: _shut_home(_home()), lambda: _open_home(_home())
    ),
    "read-only database": lambda drill, rounds, _: read_only(
        drill, rounds, lambda: _pg_read_only("on"), lambda: _pg_read_only("off")
    ),
    "clock set back": lambda drill, rounds, _: clock_back(drill, rounds),
    "two servers": lambda drill, rounds, _: two_servers(drill, rounds),
    "restored elsewhere": restored_elsewhere,
}

if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), Path(sys.argv[4]))
