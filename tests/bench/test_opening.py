"""Before anybody works here: what each address answers, to whom, and with which word."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.test import Client
from pytest_django import Settings

from pinchbolt.records.models import Person, Workshop
from tests.bench.conftest import Cast
from tests.bench.pages import addresses
from tests.one_chain import forget_the_chain
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db
WORD = "qwfpgj"
ELSEWHERE = {"REMOTE_ADDR": "192.0.2.7"}
# How a tablet comes to trust this machine is told to everybody at any time.
SEALED = "sealed/"
FILLED = {
    "name": "Tollgate Bench",
    "town": "Winterby",
    "country": "DE",
    "labour_an_hour": "54,50",
    "tax": "usual",
    "stands": "3",
    "person": "Rosa Tindle",
    "sign_in": "",
    "passphrase": "four plain words here",
    "open_Mon": "yes",
    "opens_Mon": "08:00",
    "closes_Mon": "16:30",
    "key": "opening-on-the-page",
}


@pytest.fixture(autouse=True)
def a_chain_of_its_own() -> Iterator[None]:
    """That the workshop is open is remembered for good: before and after these tests it is asked anew."""
    forget_the_chain()
    yield
    forget_the_chain()


@pytest.fixture
def this_machine(settings: Settings) -> Client:
    """A browser that was given the word."""
    settings.OPENING_WORD = WORD
    client = Client()
    assert client.get(f"/open/?word={WORD}")["Location"] == "/open/"
    return client


@pytest.mark.parametrize(
    "route", [one.route for one in addresses() if not one.gaps and not one.route.startswith(SEALED)]
)
def test_nothing_else_is_served_before_somebody_works_here(route: str, settings: Settings) -> None:
    """This machine is led to the doors; every other one reads that it has to wait, at whatever address."""
    settings.OPENING_WORD = WORD
    if not route.startswith("open/"):
        assert Client().get(f"/{route}")["Location"] == "/open/"
    elsewhere = Client(**ELSEWHERE).get(f"/{route}?word={WORD}")
    assert elsewhere.status_code == 503
    assert "not open yet" in elsewhere.content.decode()


def test_the_json_door_says_so_in_its_own_way() -> None:
    """One sentence, 503."""
    answer = Client().get("/api/shop-day")
    assert answer.status_code == 503 and "not open yet" in answer.json()["error"]


@pytest.mark.parametrize("address", ["/open/own/", "/open/looking-around/"])
def test_without_the_word_no_door_opens(address: str, settings: Settings) -> None:
    """A second user of the machine, or a page elsewhere, can't open the shop first."""
    settings.OPENING_WORD = WORD
    client = Client()
    assert client.get(address)["Location"] == "/open/"
    assert client.post("/open/own/", FILLED)["Location"] == "/open/"
    assert "two doors" in client.get("/open/").content.decode().lower()
    wrong = client.post("/open/", {"word": "qwfpgx"})
    assert wrong.status_code == 422 and "This is not the word" in wrong.content.decode()
    assert not Workshop.objects.exists()
    assert client.post("/open/", {"word": f" {WORD.upper()} "})["Location"] == "/open/"
    doors = client.get("/open/").content.decode()
    assert "open your own" in doors and 'href="/open/back/"' in doors


def test_a_server_that_shows_no_word_opens_by_the_command_line_alone(settings: Settings) -> None:
    """An empty word is not a word."""
    settings.OPENING_WORD = ""
    page = Client().post("/open/", {"word": ""}).content.decode()
    assert "pinchbolt open" in page and "open your own" not in page


def test_the_page_opens_the_workshop_and_signs_its_owner_in(this_machine: Client) -> None:
    """Country's money and usual tax, labour with a comma, the day that was tapped; afterwards the doors are gone."""
    assert this_machine.get("/open/own/").status_code == 200
    assert this_machine.post("/open/own/", FILLED)["Location"] == "/"
    shop = Workshop.objects.get()
    assert (shop.currency, shop.tax_percent, shop.labour_an_hour) == ("EUR", Decimal("19"), Decimal("54.50"))
    assert (shop.stands, shop.open_days, shop.is_demo) == (3, {"Mon": ["08:00", "16:30"]}, False)
    assert "Rosa Tindle" in this_machine.get("/").content.decode()
    assert Client().get("/open/")["Location"] == "/sign-in/"
    assert Client(**ELSEWHERE).get("/")["Location"].startswith("/sign-in/")


def test_a_refused_page_keeps_what_was_typed_and_closed(this_machine: Client) -> None:
    """The sentence stands at its field; the days are as they were sent, not as they usually are."""
    page = this_machine.post(
        "/open/own/",
        {**FILLED, "passphrase": "short", "open_Sun": "yes", "opens_Sun": "9:00", "closes_Sun": "12:00"},
    )
    text = page.content.decode()
    assert page.status_code == 422 and "The passphrase has 5 characters" in text
    assert 'value="Tollgate Bench"' in text and "four plain" not in text
    assert text.count('value="yes" checked') == 2
    assert not Person.objects.exists()


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"country": "US"}, "no one usual rate"),
        ({"tax": "other"}, "No rate was typed"),
        ({"tax": "other", "tax_percent": "200"}, "0 to 35 per cent"),
        ({"labour_an_hour": ""}, "Fill in what an hour of work costs"),
        ({"open_Mon": ""}, "No day is open"),
        ({"closes_Mon": "07:00"}, "closes before it opens"),
    ],
)
def test_each_field_has_its_sentence(this_machine: Client, more: dict[str, str], sentence: str) -> None:
    """And nothing is opened."""
    page = this_machine.post("/open/own/", FILLED | more)
    assert page.status_code == 422 and sentence in page.content.decode()
    assert not Workshop.objects.exists()


def test_a_promise_is_offered_on_open_days_alone(cast: Cast, tablet: Client) -> None:
    """A shop that opens on Mondays and Thursdays promises no Sunday."""
    from datetime import date

    Workshop.objects.update(open_days={"Mon": ["09:00", "17:00"], "Thu": ["09:00", "17:00"]})
    page = tablet.get("/check-in/?template=track").content.decode()
    days = [part[:10] for part in page.split('name="promise_day" value="')[1:] if part[:4].isdigit()]
    assert len(days) == 7 and {date.fromisoformat(day).weekday() for day in days} == {0, 3}


def test_who_left_is_off_the_list_and_their_tablets_with_them(cast: Cast, tablet: Client) -> None:
    """The last owner of the workshop can't be let go; one who comes back signs in as before."""
    tablet.force_login(cast.owner, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    mechanics = Client()
    mechanics.force_login(cast.mechanic, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    gone = {"sign_in": cast.mechanic.sign_in, "key": "somebody-leaves"}
    assert tablet.post("/settings/people/retire/", gone).status_code == 303
    assert mechanics.get("/")["Location"].startswith("/sign-in/")
    assert cast.mechanic.name not in Client().get("/sign-in/").content.decode()
    last = tablet.post("/settings/people/retire/", {"sign_in": cast.owner.sign_in, "key": "the-last-one"})
    assert last.status_code == 409 and "only owner of the workshop" in last.content.decode()
    assert tablet.post("/settings/people/back/", gone | {"key": "and-comes-back"}).status_code == 303
    assert cast.mechanic.name in Client().get("/sign-in/").content.decode()


def test_a_new_passphrase_ends_what_the_old_one_opened(cast: Cast, tablet: Client) -> None:
    """Tablets signed in with the old one ask again; whoever set their own goes on where they are."""
    tablet.force_login(cast.owner, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    other = Client()
    other.force_login(cast.owner, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    asked = {
        "sign_in": cast.owner.sign_in,
        "passphrase": "kettenblatt dienstag",
        "passphrase_proof": PASSPHRASE,
        "key": "a-new-passphrase",
    }
    assert tablet.post("/settings/people/passphrase/", asked).status_code == 303
    assert tablet.get("/settings/people/").status_code == 200
    assert other.get("/settings/people/")["Location"].startswith("/sign-in/")
    assert Person.objects.get(pk=cast.owner.pk).check_password("kettenblatt dienstag")
    tablet.force_login(cast.mechanic, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    assert tablet.post("/settings/people/passphrase/", asked | {"key": "not-yours-to-set"}).status_code == 403
