"""Signing in by passphrase, taking a tablet over by PIN, and what a stranger gets."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.cache import caches
from django.core.handlers.wsgi import WSGIHandler
from django.test import Client, RequestFactory

from pinchbolt.serving.sign_in import PinBackend
from tests.bench.conftest import PIN, Cast
from tests.every_row import every_row
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db

PAGES = (
    "/",
    "/check-in/",
    "/tools/",
    "/settings/people/",
    "/switch/",
    "/bike/PB-001/",
    "/job/1/check-in/",
    "/b/PB-001",
)


@pytest.mark.parametrize("page", PAGES)
def test_a_stranger_sees_the_sign_in_page_only(cast: Cast, client: Client, page: str) -> None:
    """Signed out, every page leads to the sign-in page and shows nothing of a bike."""
    answer = client.get(page)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/?next=")


def test_the_right_passphrase_opens_the_page_that_was_wanted(cast: Cast, client: Client) -> None:
    """After signing in the tablet goes on to where it was going."""
    answer = client.post("/sign-in/", {"sign_in": "Ines", "passphrase": PASSPHRASE, "next": "/tools/"})
    assert (answer.status_code, answer["Location"]) == (302, "/tools/")
    assert client.get("/tools/").status_code == 200


def test_signing_in_never_leads_out_of_the_workshop(cast: Cast, client: Client) -> None:
    """An address elsewhere in `next` is dropped."""
    answer = client.post(
        "/sign-in/", {"sign_in": "ines", "passphrase": PASSPHRASE, "next": "//elsewhere.example/tools/"}
    )
    assert answer["Location"] == "/"


def test_a_wrong_passphrase_is_refused_in_a_sentence_and_the_name_stays_picked(
    cast: Cast, client: Client
) -> None:
    """The passphrase is typed again; the name is not."""
    answer = client.post("/sign-in/", {"sign_in": "ines", "passphrase": "not this one at all"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Name and passphrase do not match. Try again" in page
    assert 'value="ines" checked' in page
    assert "not this one at all" not in page


def test_no_name_is_said_plainly(cast: Cast, client: Client) -> None:
    """A passphrase without a name asks for the name."""
    answer = client.post("/sign-in/", {"passphrase": PASSPHRASE})
    assert answer.status_code == 422
    assert "Tap your name first." in answer.content.decode()


def test_five_wrong_tries_lock_the_name_however_it_is_written(cast: Cast, client: Client) -> None:
    """The fifth wrong try answers 429, and then the right passphrase does too; another name still works."""
    names = ["ines", "Ines", "INES", "iNes"]
    before = [
        client.post("/sign-in/", {"sign_in": name, "passphrase": "wrong"}).status_code for name in names
    ]
    assert before == [422] * 4
    fifth = client.post("/sign-in/", {"sign_in": "ines", "passphrase": "wrong"})
    assert fifth.status_code == 429
    assert (
        "Five wrong tries for this name: it is locked for 15 minutes on this device."
        in fifth.content.decode()
    )
    assert client.post("/sign-in/", {"sign_in": "ines", "passphrase": PASSPHRASE}).status_code == 429
    assert client.post("/sign-in/", {"sign_in": "tobias", "passphrase": PASSPHRASE}).status_code == 302


def test_a_stranger_locks_nobody_out_but_themselves(cast: Cast, client: Client) -> None:
    """Somebody on the network tries every name on the page; the workshop's own machine and tablets sign in as ever."""
    for name in ("ines", "tobias", "marnie", "juno"):
        for guess in range(6):
            tried = client.post(
                "/sign-in/", {"sign_in": name, "passphrase": f"guess {guess}"}, REMOTE_ADDR="192.168.1.66"
            )
        assert tried.status_code == 429
        right = {"sign_in": name, "passphrase": PASSPHRASE}
        assert client.post("/sign-in/", right, REMOTE_ADDR="192.168.1.66").status_code == 429
        assert Client().post("/sign-in/", right, REMOTE_ADDR="127.0.0.1").status_code == 302
        assert Client().post("/sign-in/", right, REMOTE_ADDR="192.168.1.20").status_code == 302


def test_a_header_that_anybody_can_write_gives_no_further_tries(cast: Cast, client: Client) -> None:
    """The address is that of the connection, not one that a stranger claims."""
    tries = [
        client.post(
            "/sign-in/",
            {"sign_in": "ines", "passphrase": "wrong"},
            headers={"X-Forwarded-For": f"10.0.0.{n}"},
        ).status_code
        for n in range(6)
    ]
    assert tries == [422] * 4 + [429] * 2


def test_made_up_names_push_no_count_out(cast: Cast, client: Client) -> None:
    """A spray of a thousand names between two tries: the fifth wrong try still locks."""
    tries = [
        client.post("/sign-in/", {"sign_in": "ines", "passphrase": "wrong"}).status_code for _ in range(4)
    ]
    for n in range(400):
        caches["tries"].set(f"made-up-{n}", 1)
    last = client.post("/sign-in/", {"sign_in": "ines", "passphrase": "wrong"})
    assert (tries, last.status_code) == ([422] * 4, 429)


def test_the_head_of_a_page_has_no_body(tablet: Client) -> None:
    """RFC 9110, 9.3.2; asked of the application as the server asks it, since Django's own test client takes bodies off."""
    for path in ("/", "/sign-in/", "/nowhere/", "/api/openapi.json"):
        request = RequestFactory().head(
            path, headers={"Cookie": f"sessionid={tablet.cookies['sessionid'].value}"}
        )
        answer = WSGIHandler().get_response(request)
        assert answer.content == b"" and int(answer["Content-Length"]) > 100, path


def test_a_pin_takes_over_a_tablet_that_somebody_signed_in(cast: Cast, tablet: Client) -> None:
    """The next person at the bench acts under their own name."""
    assert "Ines Holloway" in tablet.get("/").content.decode()
    answer = tablet.post("/switch/", {"sign_in": "juno", "pin": PIN})
    assert answer.status_code == 302
    assert "Juno Marl" in tablet.get("/").content.decode()


def test_a_pin_opens_nothing_on_a_tablet_that_nobody_signed_in(cast: Cast, client: Client) -> None:
    """Without a signed-in tablet a PIN, even the right one, leads to the sign-in page."""
    answer = client.post("/switch/", {"sign_in": "juno", "pin": PIN})
    assert answer["Location"].startswith("/sign-in/")
    assert client.post("/sign-in/", {"sign_in": "juno", "passphrase": PIN, "pin": PIN}).status_code == 422


def test_the_pin_check_itself_asks_who_signed_the_tablet_in(cast: Cast, rf: RequestFactory) -> None:
    """Whatever page may come to use it: a stranger's request is no tablet."""
    request = rf.post("/anywhere/")
    request.user = AnonymousUser()
    assert PinBackend().authenticate(request, username="juno", pin=PIN) is None
    request.user = cast.mechanic
    assert PinBackend().authenticate(request, username="juno", pin=PIN) == cast.counter


def test_wrong_pins_lock_the_name_too(cast: Cast, tablet: Client) -> None:
    """Ten thousand PINs can't be tried out."""
    answers = [tablet.post("/switch/", {"sign_in": "juno", "pin": f"000{n}"}).status_code for n in range(5)]
    assert answers == [422, 422, 422, 422, 429]


def test_a_pin_tried_ten_times_gets_a_plain_message_and_writes_nothing(cast: Cast, tablet: Client) -> None:
    """Guessing leaves every table as it was; the guesser stays who they were."""
    tablet.get("/")  # The first page of a day says that the tablet is used.
    before = every_row()
    answers = [tablet.post("/switch/", {"sign_in": "juno", "pin": f"00{n:02d}"}) for n in range(10)]
    assert [answer.status_code for answer in answers[4:]] == [429] * 6
    assert (
        "Five wrong tries for this name: it is locked for 15 minutes on this device."
        in answers[-1].content.decode()
    )
    assert every_row() == before
    assert "Ines Holloway" in tablet.get("/").content.decode()


def test_a_name_of_ten_megabytes_is_refused_before_it_is_looked_at(cast: Cast, client: Client) -> None:
    """A plain sentence, and nothing is written."""
    before = every_row()
    answer = client.post("/sign-in/", {"sign_in": "x" * 10_000_000, "passphrase": "x"})
    assert answer.status_code in (400, 422)
    assert "nothing was saved" in answer.content.decode()
    assert every_row() == before


def test_whoever_has_no_pin_is_not_offered_the_keypad(cast: Cast, tablet: Client) -> None:
    """A person without a PIN does not stand among the names of the keypad."""
    page = tablet.get("/switch/").content.decode()
    assert "Juno Marl" in page
    assert "Tobias Quill" not in page


def test_signing_out_is_a_press_of_a_button_and_leaves_nobody_signed_in(cast: Cast, tablet: Client) -> None:
    """A link that is merely opened signs nobody out."""
    assert tablet.get("/sign-out/").status_code == 302
    assert tablet.post("/sign-out/")["Location"] == "/sign-in/"
    assert tablet.get("/").status_code == 302


def test_nothing_typed_is_no_wrong_try(cast: Cast, client: Client, tablet: Client) -> None:
    """A tap on the button before the passphrase or the PIN: nobody guessed, so nobody is locked."""
    for _ in range(6):
        assert "Type your passphrase." in client.post("/sign-in/", {"sign_in": "ines"}).content.decode()
        assert "Type your PIN." in tablet.post("/switch/", {"sign_in": "juno", "pin": ""}).content.decode()
    assert tablet.post("/switch/", {"sign_in": "juno", "pin": PIN}).status_code == 302
    assert client.post("/sign-in/", {"sign_in": "ines", "passphrase": PASSPHRASE}).status_code == 302
