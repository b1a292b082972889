"""A busy, full, read-only or lost database is a plain sentence with 503 and 'try again', at every door; never a fault of ours."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from django.db import OperationalError, connection
from django.test import Client

from pinchbolt.cli.command_door import main
from pinchbolt.workshop.acts.records_away import TROUBLE, records_away
from tests.bench.conftest import Cast


def locked(file: Path) -> None:
    """Somebody else is in the middle of writing."""
    with closing(sqlite3.connect(file)) as one, closing(sqlite3.connect(file, timeout=0)) as other:
        one.execute("CREATE TABLE kept (word TEXT)")
        one.execute("BEGIN IMMEDIATE")
        other.execute("BEGIN IMMEDIATE")


def full(file: Path) -> None:
    """Not one page more fits."""
    with closing(sqlite3.connect(file)) as one:
        one.execute("CREATE TABLE kept (word TEXT)")
        one.execute("PRAGMA max_page_count = 2")
        one.executemany("INSERT INTO kept VALUES (?)", [("x" * 4000,)] * 8)


def read_only(file: Path) -> None:
    """The file may be read and not written."""
    with closing(sqlite3.connect(file)) as one:
        one.execute("CREATE TABLE kept (word TEXT)")
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as other:
        other.execute("INSERT INTO kept VALUES ('x')")


def not_there(file: Path) -> None:
    """Its folder is gone."""
    sqlite3.connect(file.parent / "gone" / "bench.sqlite3")


def damaged(file: Path) -> None:
    """It is no database."""
    file.write_bytes(b"no database at all" * 100)
    with closing(sqlite3.connect(file)) as one:
        one.execute("SELECT * FROM sqlite_master")


@pytest.mark.parametrize(
    ("trouble", "told"),
    [
        (locked, "Not saved: somebody else is writing just now. Try again: nothing is half-written."),
        (full, "Not saved: the disk is full. Free some room on the workshop's machine. Try again"),
        (read_only, "Not saved: pinchbolt may not write in its home folder. Give it the right to"),
        (not_there, "Not saved: pinchbolt may not write in its home folder. Give it the right to"),
        (damaged, "Not saved: the file of the records is damaged. Run pinchbolt doctor"),
    ],
)
def test_what_sqlite_itself_says_becomes_a_sentence(
    trouble: Callable[[Path], None], told: str, tmp_path: Path
) -> None:
    """The library's own words, made by making it fail."""
    with pytest.raises(sqlite3.DatabaseError) as raised:
        trouble(tmp_path / "bench.sqlite3")
    assert records_away(raised.value).sentence.startswith(told)
    assert records_away(raised.value).status == 503


@pytest.mark.parametrize(
    "words",
    ['connection to server at "127.0.0.1", port 5432 failed', "server closed the connection unexpectedly"],
)
def test_a_server_that_does_not_answer_is_named(words: str) -> None:
    """As psycopg words it, from its documentation and from memory."""
    assert "the database does not answer" in records_away(OperationalError(words)).sentence


@pytest.fixture
def lost(db: None) -> Iterator[None]:
    """From here on the database answers no question about jobs."""

    def raising(execute: Callable[..., object], sql: str, *rest: object) -> object:
        if '"records_job"' in sql:
            raise OperationalError("database is locked")
        return execute(sql, *rest)

    with connection.execute_wrapper(raising):
        yield


def test_a_page_says_so_and_asks_to_come_again(tablet: Client, cast: Cast, lost: None) -> None:
    """503, a sentence, and when to try again; what was typed stays in the tab."""
    answered = tablet.get("/")
    told = answered.content.decode()
    assert answered.status_code == 503 and answered["Retry-After"] == "2"
    assert "somebody else is writing just now" in told and "What you typed is kept in this tab." in told


def test_a_form_says_so_and_writes_nothing(
    tablet: Client, cast: Cast, counted: Callable[[str], int], lost: None
) -> None:
    """The same mark may come again."""
    before = counted("priced")
    answered = tablet.post(f"/job/{cast.job}/estimate/ask/", {"key": "away-0001"})
    assert answered.status_code == 503 and counted("priced") == before


def test_the_json_door_says_so_in_its_envelope(cast: Cast, lost: None) -> None:
    """The shape of every refusal."""
    door = Client()
    token = door.post(
        "/api/sign-in",
        {"name": cast.mechanic.sign_in, "passphrase": "three plain words"},
        content_type="application/json",
    ).json()["token"]
    answered = door.get(f"/api/job/{cast.job}/estimate", headers={"Authorization": f"Bearer {token}"})
    assert answered.status_code == 503 and answered.json()["status"] == 503
    assert answered.json()["error"].startswith("Not saved: somebody else is writing")


def test_the_command_line_says_so(db: None, capsys: pytest.CaptureFixture[str], lost: None) -> None:
    """Exit code 4, one line, no trace of the program."""
    assert main(["walk-round", "1"]) == 4
    assert capsys.readouterr().err.startswith("Not saved: somebody else is writing just now.")


def test_more_than_2_mb_is_refused_with_its_reason(cast: Cast) -> None:
    """413 at the JSON door, not a fault of ours."""
    answered = Client().post("/api/sign-in", {"name": "x" * 3_000_000}, content_type="application/json")
    assert answered.status_code == 413 and "larger than 2 MB" in answered.json()["error"]


def test_every_error_of_the_database_is_such_trouble() -> None:
    """Whatever a library raises, Django gives it one of these."""
    assert issubclass(OperationalError, TROUBLE)
