"""What is written down of requests and sign-ins, and what never is."""

import json
import logging
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.db import OperationalError
from django.test import Client

from pinchbolt.records.models import Person
from pinchbolt.serving.private_log import PrivateLog
from pinchbolt.workshop.day.calendar import feed_mark
from tests.bench.conftest import PIN, Cast
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Person], Client]


@pytest.fixture
def logs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A home folder of its own, with fresh logs in it."""
    monkeypatch.setenv("PINCHBOLT_HOME", str(tmp_path))
    held = {}
    for name in ("access", "sign-ins"):
        logger = logging.getLogger(f"pinchbolt.{name}")
        held[logger] = list(logger.handlers)
        fresh = PrivateLog(f"{name}.log")
        logger.handlers = [fresh]
    yield tmp_path / "logs"
    for logger, handlers in held.items():
        for one in logger.handlers:
            one.close()
        logger.handlers = handlers


def test_each_request_has_a_mark_and_a_line_without_what_was_asked(
    cast: Cast, tablet: Client, logs: Path
) -> None:
    """The mark of the answer stands in the log, with who, what and how long; no question, no form, no cookie."""
    told = tablet.get("/find/?find=Dovewood+07700900123")
    tablet.post(
        "/settings/people/pin/",
        {"sign_in": "ines", "pin": "97531", "pin_proof": PASSPHRASE, "key": "pin-set-0001"},
    )
    lines = (logs / "access.log").read_text(encoding="utf-8").splitlines()
    assert told["X-Request-ID"] in lines[0] and f" {cast.mechanic.pk} GET /find/ 200 " in lines[0]
    assert tablet.get("/")["X-Request-ID"] != told["X-Request-ID"]
    said = (logs / "access.log").read_text(encoding="utf-8")
    for secret in ("Dovewood", "07700900123", "97531", tablet.cookies["sessionid"].value):
        assert secret not in said
    assert (logs / "access.log").stat().st_mode & 0o77 == 0 and logs.stat().st_mode & 0o77 == 0


def test_the_line_looks_nobody_up(cast: Cast, logs: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The records went away while somebody asked: the answer stays a sentence with 503, and the line is written all the same."""

    def away(*_: object, **__: object) -> object:
        raise OperationalError("server closed the connection unexpectedly")

    strict = Client(raise_request_exception=False)
    monkeypatch.setattr("django.db.models.query.QuerySet._fetch_all", away)
    told = strict.get("/api/day", headers={"Authorization": "Bearer pb_of-nobody"})
    assert told.status_code == 503 and "Try again" in told.json()["error"]
    assert " - GET /api/day 503 " in (logs / "access.log").read_text(encoding="utf-8")


def test_the_mark_that_opens_a_calendar_is_in_no_line(cast: Cast, logs: Path) -> None:
    """Whoever reads the log could read the calendar for ever: its address is its key."""
    assert Client().get(f"/calendar/shop/{feed_mark('shop')}.ics").status_code == 200
    said = (logs / "access.log").read_text(encoding="utf-8")
    assert " GET /calendar/shop/....ics 200 " in said and feed_mark("shop") not in said


def test_a_line_of_the_log_cannot_be_forged(cast: Cast, tablet: Client, logs: Path) -> None:
    """A line break in an address stays one line (ASVS 5.0, 16.4.1)."""
    tablet.get("/bike/x%0A2026-11-28 12:00:00 forged/")
    lines = (logs / "access.log").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 1 and "?2026-11-28?12:00:00?forged" in lines[0]


def test_every_sign_in_and_wrong_try_is_written_down_and_the_owner_reads_it(
    cast: Cast, signed_in: SignedIn, logs: Path
) -> None:
    """By passphrase, PIN and at the JSON door; a passphrase typed as a name is not kept; a mechanic does not see it."""
    tablet = Client()
    tablet.post("/sign-in/", {"sign_in": PASSPHRASE, "passphrase": "x"})
    tablet.post("/sign-in/", {"sign_in": "ines", "passphrase": "wrong words here"})
    tablet.post("/sign-in/", {"sign_in": "ines", "passphrase": PASSPHRASE})
    tablet.post("/switch/", {"sign_in": "juno", "pin": "0000"})
    tablet.post("/switch/", {"sign_in": "juno", "pin": PIN})
    body = {"name": "marnie", "passphrase": PASSPHRASE}
    tablet.post("/api/sign-in", body, content_type="application/json")
    said = (logs / "sign-ins.log").read_text(encoding="utf-8")
    found = [(one["who"], one["what"]) for one in map(json.loads, said.splitlines())]
    assert found == [
        ("", "wrong passphrase"), ("ines", "wrong passphrase"), ("ines", "signed in"), ("juno", "wrong PIN"), ("juno", "signed in"),
        ("marnie", "signed in at the JSON door"),
    ]  # fmt: skip
    assert PASSPHRASE not in said and "wrong words" not in said and PIN not in said
    page = signed_in(cast.owner).get("/settings/tablets/").content.decode()
    assert "a name that nobody here has" in page and "juno" in page
    assert "Sign-ins" not in signed_in(cast.mechanic).get("/settings/tablets/").content.decode()


def test_half_a_line_and_no_log_at_all_stop_no_page(cast: Cast, signed_in: SignedIn, logs: Path) -> None:
    """Power went in the middle of a line; the folder can't be made."""
    logs.mkdir()
    (logs / "sign-ins.log").write_text('{"at": "2026-11-2', encoding="utf-8")
    assert signed_in(cast.owner).get("/settings/tablets/").status_code == 200
    (logs / "sign-ins.log").unlink()
    for file in logs.iterdir():
        file.unlink()
    os.rmdir(logs)
    logs.write_text("a file where the folder would be", encoding="utf-8")
    assert signed_in(cast.owner).get("/settings/tablets/").status_code == 200


def test_a_token_is_made_on_the_page_and_told_once(cast: Cast, tablet: Client) -> None:
    """The next page does not say it again; ending it takes one tap."""
    asked = {"token_name": "stock list", "scope": "look", "days": "7", "key": "token-0001"}
    page = tablet.post("/settings/tablets/token/", {**asked, "token_proof": PASSPHRASE}).content.decode()
    token = page.partition("pb_")[2].partition("<")[0]
    assert len(token) == 43
    again = tablet.get("/settings/tablets/").content.decode()
    assert "stock list" in again and token not in again
    number = again.partition('name="token" value="')[2].partition('"')[0]
    tablet.post("/settings/tablets/token/end/", {"token": number, "key": "token-0002"})
    assert 'name="token" value="' not in tablet.get("/settings/tablets/").content.decode()


def test_a_tablet_that_was_left_signed_in_gives_nobody_a_token(cast: Cast, tablet: Client) -> None:
    """It would open the JSON door for a year, long after the tablet was put down: one's own passphrase is asked, as for every way in."""
    asked = {"token_name": "stock list", "scope": "work", "days": "366", "key": "token-0001"}
    for proof in ("", PIN, "some other passphrase"):
        page = tablet.post("/settings/tablets/token/", {**asked, "token_proof": proof}).content.decode()
        assert "This is not the passphrase of" in page and "pb_" not in page
    assert 'name="token" value="' not in tablet.get("/settings/tablets/").content.decode()


def test_a_new_passphrase_ends_every_tablet_of_its_person(cast: Cast, signed_in: SignedIn) -> None:
    """The one on which it was set stays; a tablet that was lost is shut."""
    here, lost = signed_in(cast.owner), signed_in(cast.owner)
    here.post(
        "/settings/people/passphrase/",
        {
            "sign_in": "marnie",
            "passphrase": "lamp under seven stairs",
            "passphrase_proof": PASSPHRASE,
            "key": "phrase-0001",
        },
    )
    assert here.get("/").status_code == 200
    assert lost.get("/").status_code == 302
