"""One drill in a home folder and a database of its own: eight hands write through the real server, something goes wrong, and what
was acknowledged is looked for. Run as a program by `tests/harm/drill.py`; says what came of it as one line of JSON.

The server is split off from a process that has everything loaded, so that a round takes a second and not a minute.
"""

import http.client
import json
import os
import random
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")
HANDS = 8
# A child's bike is checked in from this template: each has as many parts as the next.
TEMPLATE = "child"


@dataclass(frozen=True, slots=True)
class Sent:
    """One request: where to, with which mark, and what."""

    path: str
    key: str
    body: dict[str, Any]


@dataclass(slots=True)
class Came:
    """What came of a drill. `faults` are answers that nobody should get; `away` those that say: try again."""

    rounds: int = 0
    acknowledged: int = 0
    again: int = 0
    away: int = 0
    refused: int = 0
    lost: int = 0
    halves: int = 0
    twice: int = 0
    faults: list[str] = field(default_factory=list)
    words: str = ""


class Drill:
    """The shop, its hands, and what they were told."""

    def __init__(self, seed: int) -> None:
        self.luck = random.Random(seed)
        self.came = Came()
        self.keys: list[str] = []
        self.open: list[Sent] = []
        self.number = 0
        self._one = threading.Lock()

    def make_ready(self) -> None:
        """A workshop with eight bikes in it; everything that a request loads is loaded."""
        import django

        django.setup()
        from django.contrib.auth import get_user_model
        from django.core.management import call_command
        from django.utils import timezone

        from pinchbolt.api.signing_in import token_for
        from pinchbolt.records.models import Part, Workshop
        from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
        from tests import story

        call_command("migrate", verbosity=0)
        first, _ = story.open_shop()
        Workshop.objects.update(stands=HANDS)
        self.at = []
        for number in range(HANDS):
            asked = CheckInRequest(template=TEMPLATE, owner_name=f"Pip Farrow {number}", another_person=True)
            done = check_in(asked, by=first.pk, key=f"ready-{number:04d}", now=timezone.now())
            chain = Part.objects.filter(fittings__bike__tag=done.tag, kind="chain").get()
            self.at.append((done.job, done.tag, chain.pk, story.first_limit(done.tag, chain)))
        self.token = token_for(get_user_model().objects.get(pk=first.pk))
        # Everything that an act loads is loaded once before the server is split off.
        with self.serving() as port:
            for number in range(HANDS):
                self.send(port, self.act(number))
        self.look()

    def act(self, hand: int) -> Sent:
        """The next thing that a hand writes down, each hand its own kind on its own bike; two share one."""
        with self._one:
            self.number += 1
            key, drawn = f"drill-{os.getpid()}-{self.number:07d}", self.luck.random()
        job, _, chain, limit = self.at[max(hand, 1)]
        if hand % 4 == 0:
            return Sent(
                f"/api/job/{job}/reading",
                key,
                {"part": chain, "limit": limit, "value": round(0.2 + drawn / 4, 3)},
            )
        if hand % 4 == 1:
            return Sent(
                f"/api/job/{job}/finding", key, {"words": f"seen {drawn:.3f}", "verdict": "keep an eye on it"}
            )
        if hand % 4 == 2:
            return Sent(f"/api/job/{job}/limit", key, {"limit": f"{100 + round(drawn * 900)}.00"})
        owner = f"Ada Fenwick {self.number}"
        return Sent("/api/check-in", key, {"template": TEMPLATE, "owner_name": owner, "another_person": True})

    @contextmanager
    def serving(self, before: Callable[[], None] = lambda: None, *, hard: bool = False) -> Iterator[int]:
        """The port of a server in a process of its own; killed without a word at the end, if *hard*."""
        from django.db import connections

        connections.close_all()
        with socket.socket() as listening:
            listening.bind(("127.0.0.1", 0))
            listening.listen(64)
            child = os.fork()
            if child == 0:
                _serve(listening, before)
            port = int(listening.getsockname()[1])
        try:
            yield port
        finally:
            os.kill(child, signal.SIGKILL if hard else signal.SIGTERM)
            os.waitpid(child, 0)

    def send(self, port: int, sent: Sent) -> int:
        """Send it once; 0 where no answer came: then it may have been done or not, and is sent again later."""
        try:
            over = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            over.request(
                "POST",
                sent.path,
                json.dumps(sent.body),
                {
                    "Authorization": f"Bearer {self.token}",
                    "Idempotency-Key": sent.key,
                    "Content-Type": "application/json",
                },
            )
            answer = over.getresponse()
            told = answer.read()
            over.close()
        except (OSError, http.client.HTTPException):
            with self._one:
                self.open.append(sent)
            return 0
        self._told(sent, answer.status, told)
        return answer.status

    def _told(self, sent: Sent, status: int, told: bytes) -> None:
        with self._one:
            if status == 200:
                self.came.acknowledged += 1
                self.keys.append(sent.key)
            elif status == 503:
                self.came.away += 1
                self.open.append(sent)
                if b"Try again" not in told:
                    self.came.faults.append(f"503 without a sentence: {told[:200]!r}")
            elif status in (404, 409, 422):
                self.came.refused += 1
            else:
                self.came.faults.append(f"{sent.path} {status} {told[:200]!r}")

    def work(self, port: int, seconds: float, hands: int = HANDS) -> None:
        """Eight hands write as fast as they can for so long."""
        end = time.monotonic() + seconds

        def one(hand: int) -> None:
            while time.monotonic() < end:
                if self.send(port, self.act(hand)) in (0, 503):
                    return

        workers = [threading.Thread(target=one, args=[hand]) for hand in range(hands)]
        for worker in workers:
            worker.start()
        self.workers = workers

    def rest(self) -> None:
        """Wait until every hand has its answer or knows that none comes."""
        for worker in self.workers:
            worker.join()

    def again(self, port: int) -> None:
        """Whatever had no answer is sent again with its own mark: now it is answered."""
        waiting, self.open = self.open, []
        for sent in waiting:
            self.came.again += 1
            status = self.send(port, sent)
            if status != 200:
                self.came.faults.append(f"sent again: {sent.path} {status}")

    def look(self) -> None:
        """Count what is lost, what is half there, and what is there twice."""
        from django.db import connection, connections

        with connection.cursor() as cursor:

            def count(sql: str) -> int:
                cursor.execute(sql)
                return int(cursor.fetchone()[0])

            cursor.execute("SELECT key FROM records_event")
            there = {row[0] for row in cursor.fetchall()}
            self.came.lost = sum(key not in there for key in self.keys)
            self.came.halves = sum(count(sql) for sql in HALVES)
            self.came.twice = sum(abs(count(f"SELECT ({one}) - ({other})")) for one, other in PAIRS)
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA integrity_check")
                whole = cursor.fetchone()[0]
                cursor.execute("PRAGMA foreign_key_check")
                if whole != "ok" or cursor.fetchall():
                    self.came.faults.append(f"the file is not whole: {whole}")
        connections.close_all()


def connection_says(sql: str) -> None:
    """Do something to the records that no act would do."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(sql)


def _serve(listening: socket.socket, before: Callable[[], None]) -> None:
    """Never returns: the server, as `pinchbolt serve` runs it, until it is killed."""
    from pinchbolt.serving.server import make_server
    from pinchbolt.serving.wsgi import application

    sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  (until the process ends)
    import logging

    logging.disable(logging.CRITICAL)
    try:
        before()
        signal.signal(signal.SIGTERM, lambda *_: os._exit(0))
        make_server(application, listening, None).run()
    finally:
        os._exit(0)


_EVENTS = "SELECT count(*) FROM records_event WHERE kind = "
HALVES = (
    "SELECT count(*) FROM records_event e LEFT JOIN records_reading r ON r.event_id = e.id "
    "WHERE e.kind = 'reading taken' AND r.event_id IS NULL",
    "SELECT count(*) FROM records_reading r LEFT JOIN records_finding f ON f.reading_id = r.event_id WHERE f.event_id IS NULL",
    "SELECT count(*) FROM records_event e LEFT JOIN records_finding f ON f.event_id = e.id "
    "WHERE e.kind = 'found' AND f.event_id IS NULL",
    "SELECT count(*) FROM records_event WHERE kind = 'checked in' AND job_id IS NULL",
    "SELECT count(*) FROM records_bike b LEFT JOIN records_job j ON j.bike_id = b.id WHERE j.id IS NULL",
    # Every child's bike has as many parts as the first.
    "SELECT count(*) FROM records_bike b WHERE (SELECT count(*) FROM records_fitting f WHERE f.bike_id = b.id) <> "
    "(SELECT count(*) FROM records_fitting f WHERE f.bike_id = (SELECT min(id) FROM records_bike))",
    "SELECT count(*) FROM records_bike b LEFT JOIN records_owner o ON o.id = b.owner_id WHERE o.id IS NULL",
)
"""Each counts what only a half act could leave."""
PAIRS = (
    ("SELECT count(*) FROM records_reading", f"{_EVENTS}'reading taken'"),
    ("SELECT count(*) FROM records_finding", f"{_EVENTS}'found'"),
    ("SELECT count(*) FROM records_job", f"{_EVENTS}'checked in'"),
    ("SELECT count(*) FROM records_bike", f"{_EVENTS}'checked in'"),
)
"""Rows and the events that made them: as many of one as of the other."""


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
            drill.work(port, 60)
            drill.rest()
            if drill.came.away == before:
                drill.came.faults.append("the disk was never full")
            balloon.unlink()
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
