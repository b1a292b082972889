"""One drill in a home folder and a database of its own: eight hands write through the real server, something goes wrong, and what
was acknowledged is looked for. What goes wrong stands in `drill_ways.py`.

The server is split off from a process that has everything loaded, so that a round takes a second and not a minute.
"""

import http.client
import json
import os
import random
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")
HANDS = 8
PATIENCE_S = 60.0
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
        from django.utils import timezone

        from pinchbolt.api.signing_in import token_for
        from pinchbolt.records.models import Part, Workshop
        from pinchbolt.serving.migrating import migrate
        from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
        from tests import story

        migrate()
        first, _ = story.open_shop()
        Workshop.objects.update(stands=HANDS)
        self.at = []
        for number in range(HANDS):
            asked = CheckInRequest(template=TEMPLATE, owner_name=f"Pip Farrow {number}", another_person=True)
            done = check_in(asked, by=first.pk, key=f"ready-{number:04d}", now=timezone.now())
            chain = Part.objects.filter(fittings__bike__tag=done.tag, kind="chain").get()
            self.at.append((done.job, done.tag, chain.pk, story.first_limit(done.tag, chain)))
        self.token = token_for(get_user_model().objects.get(pk=first.pk))
        _load_all()
        # What an act makes on its first way is made before anything is counted.
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

    def until_the_database_is_back(self) -> None:
        """A database that went down (PostgreSQL does where its disk is full) puts itself right before it answers anybody."""
        from django.db import OperationalError, connection

        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                connection.ensure_connection()
                return
            except OperationalError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.2)

    def look(self) -> None:
        """Count what is lost, what is half there, and what is there twice."""
        from django.db import connection, connections

        self.until_the_database_is_back()
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


def _load_all() -> None:
    """Load the server and all that it answers with: each one split off is the program of now, whatever is changed meanwhile."""
    from django.urls import get_resolver

    from pinchbolt.serving import server, wsgi

    assert get_resolver().url_patterns and server.make_server and wsgi.application


def _log_to_file() -> None:
    """Faults of the server, with their cause, go into a file of the home folder: whatever was answered wrongly is found there."""
    import logging

    for logger in (
        logging.getLogger(),
        logging.getLogger("django.request"),
        logging.getLogger("pinchbolt.access"),
    ):
        logger.handlers = []
    try:
        handler: logging.Handler = logging.FileHandler(server_log())
    except OSError:
        handler = logging.NullHandler()
    handler.setLevel(logging.ERROR)
    logging.getLogger().addHandler(handler)


def server_log() -> Path:
    """Where the server's faults are written."""
    return Path(os.environ["PINCHBOLT_HOME"]) / "drill-server.log"


def connection_says(sql: str) -> None:
    """Do something to the records that no act would do."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(sql)


def _serve(listening: socket.socket, before: Callable[[], None]) -> None:
    """Never returns: the server, as `pinchbolt serve` runs it, until it is killed."""
    from pinchbolt.serving.server import make_server
    from pinchbolt.serving.wsgi import application

    _log_to_file()
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
