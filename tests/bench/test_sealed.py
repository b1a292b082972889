"""In the clear and sealed: what is answered to whom when the bench book is served to the network."""

from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from tests.bench.conftest import Cast
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db
ELSEWHERE = "192.168.7.40"


@pytest.fixture(autouse=True)
def to_the_network(settings: Any, tmp_path: Path) -> Path:
    """The book is served to the network; its authority was made."""
    settings.SEALED, settings.AUTHORITY = True, tmp_path / "authority.crt"
    settings.AUTHORITY.write_bytes(b"the authority")
    return tmp_path


def test_a_page_asked_in_the_clear_leads_to_https(cast: Cast) -> None:
    """The same address, question and all; nothing of the page itself goes out."""
    told = Client(REMOTE_ADDR=ELSEWHERE).get("/find/?find=dov")
    assert (told.status_code, told["Location"]) == (302, "https://testserver/find/?find=dov")


def test_what_was_sent_in_the_clear_is_not_looked_at(cast: Cast) -> None:
    """A right passphrase signs nobody in; the sentence says to change it. The JSON door answers in its own shape."""
    stranger = Client(REMOTE_ADDR=ELSEWHERE)
    told = stranger.post("/sign-in/", {"sign_in": cast.owner.sign_in, "passphrase": PASSPHRASE})
    assert told.status_code == 403 and "change a passphrase" in told.content.decode()
    assert "sessionid" not in stranger.cookies
    body = {"name": cast.owner.sign_in, "passphrase": PASSPHRASE}
    told = stranger.post("/api/sign-in", body, content_type="application/json")
    assert told.status_code == 403 and "came in the clear" in told.json()["error"]
    assert stranger.get("/api/day").status_code == 403


def test_the_page_that_leads_to_https_is_served_in_the_clear(cast: Cast) -> None:
    """With its steps, the figures to compare, a code for the next tablet, and the certificate in the shape tablets take in."""
    stranger = Client(REMOTE_ADDR=ELSEWHERE)
    page = stranger.get("/SEALED/", follow=True)
    said = page.content.decode()
    assert page.status_code == 200 and "<svg" in said
    assert _digest() in said
    assert 'href="https://testserver/"' in said
    taken = stranger.get("/sealed/authority.crt")
    assert (taken["Content-Type"], taken.content) == ("application/x-x509-ca-cert", b"the authority")


def _digest() -> str:
    from hashlib import sha256

    figures = sha256(b"the authority").hexdigest().upper()
    return " ".join(figures[at : at + 2] for at in range(0, len(figures), 2))


def test_this_machine_may_ask_itself_in_the_clear(cast: Cast) -> None:
    """What never leaves the machine is read by nobody on the way: the way in for whoever is locked out."""
    assert Client(REMOTE_ADDR="127.0.0.1").get("/sign-in/").status_code == 200


def test_cookies_of_https_go_by_nothing_else(cast: Cast) -> None:
    """Secure, HttpOnly, SameSite; and the browser is told to come by https again."""
    tablet = Client(REMOTE_ADDR=ELSEWHERE)
    told = tablet.post("/sign-in/", {"sign_in": cast.owner.sign_in, "passphrase": PASSPHRASE}, secure=True)
    assert told.status_code == 302
    assert told["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"
    session = tablet.cookies["__Host-sessionid"]
    assert (
        session["secure"] and session["httponly"] and session["samesite"] == "Lax" and session["path"] == "/"
    )
    assert not session["domain"] and set(tablet.cookies) == {"__Host-sessionid", "__Host-csrftoken"}
    assert tablet.get("/", secure=True).status_code == 200
    assert tablet.get("/").status_code == 302
    # A session that went in the clear once, or that another name of the domain set, opens nothing.
    planted = Client(REMOTE_ADDR=ELSEWHERE)
    planted.cookies["sessionid"] = session.value
    assert planted.get("/", secure=True).status_code == 302


def test_a_sign_in_by_https_from_elsewhere_in_the_web_is_refused(cast: Cast) -> None:
    """Another page's form, with its own origin: 403, also sealed."""
    strict = Client(enforce_csrf_checks=True, REMOTE_ADDR=ELSEWHERE)
    told = strict.post("/sign-in/", {}, secure=True, headers={"origin": "https://elsewhere.example"})
    assert told.status_code == 403
