"""What holds on every page: policy, refusals as sentences, light and dark, one list of things in the head."""

import re
from collections.abc import Callable

import pytest
from django.test import Client

from pinchbolt.bench.fields import plain_figure
from pinchbolt.records.models import Event
from tests.bench.conftest import Cast, Opened
from tests.bench.pages import ACTS, MORE, PAGES, addresses, filled
from tests.house.source import SRC

pytestmark = pytest.mark.django_db
Open = Callable[[str], Opened]


def test_a_name_leads_to_one_address() -> None:
    """Of two addresses of one name a link leads to the last, silently."""
    of_name: dict[str, set[str]] = {}
    for one in addresses():
        of_name.setdefault(one.name, set()).add(one.route)
    assert {name: routes for name, routes in of_name.items() if len(routes) > 1} == {}


# One page after the other, all questions of it together: whoever opens it first opens it for the rest.
each_page = pytest.mark.parametrize("address", [*PAGES, *MORE], scope="session")


@each_page
def test_no_page_carries_script_or_style_of_its_own(opened: Open, address: str) -> None:
    """The content policy forbids them, so they would silently do nothing; no address leads out of the house."""
    answer = opened(address)
    said = answer.said
    # A page that can't answer yet (no chain was read) says so, and keeps to the same rules.
    assert answer.status in (200, 409)
    assert "script-src 'self'" in answer.policy
    assert not re.search(r"<script(?![^>]*\bsrc=)", said)
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", said)
    assert not re.search(r'(?:src|href|action)="(?:https?:)?//', said)


@each_page
def test_every_field_has_a_label_and_every_form_its_token(opened: Open, address: str) -> None:
    """Whoever hears the page knows what a field is; a form from elsewhere is refused."""
    said = opened(address).said
    for form in re.findall(r"<form.*?</form>", said, re.DOTALL):
        if 'method="post"' in form:
            assert "csrfmiddlewaretoken" in form
        for field in re.findall(r"<(?:input|textarea|select)[^>]*>", form):
            if 'type="hidden"' in field or 'type="radio"' in field:
                continue
            name = re.search(r'id="([^"]+)"', field)
            around = any(field in label for label in re.findall(r"<label.*?</label>", form, re.DOTALL))
            assert around or (name and f'for="{name.group(1)}"' in form), field


def test_every_address_is_a_page_a_sheet_or_an_act(cast: Cast, tablet: Client) -> None:
    """The list of pages is read off the addresses, so a new screen is asked all of this without anybody's memory."""
    papers = [one.route for one in addresses() if one.route.startswith("paper/")]
    assert {*PAGES, *ACTS, *papers} == {one.route for one in addresses()}
    assert len(PAGES) > 20 and len(ACTS) > 30


def test_an_address_that_is_sent_to_can_be_opened(on_the_sheet: Cast, tablet: Client) -> None:
    """A reload after a lost answer, or an address typed from memory: the page above it is shown, and nothing is written."""
    addresses = [filled(act, on_the_sheet) for act in ACTS]
    before = Event.objects.count()
    for address in addresses:
        told = tablet.get(address)
        assert told.status_code == 302, address
        page = tablet.get(told["Location"], follow=True)
        assert page.status_code in (200, 409), address
        assert address.startswith(told["Location"]), address
    assert Event.objects.count() == before


@each_page
def test_two_cards_of_a_page_never_share_their_entries(opened: Open, address: str) -> None:
    """keep.js keeps every form by its address, its name and its hidden fields: no two forms of a page have all three alike."""
    forms = re.findall(r'<form[^>]*method="post".*?</form>', opened(address).said, re.DOTALL)
    shelves = [
        shelf(form) for form in forms if re.search(r'<(?:input(?![^>]*type="hidden")|select|textarea)', form)
    ]
    assert {one for one in shelves if shelves.count(one) > 1} == set()


def shelf(form: str) -> tuple[str, ...]:
    """What tells a form's entries apart, as keep.js sees it."""
    head = form.partition(">")[0]
    about = [
        field
        for field in re.findall(r'<input type="hidden" name="[^"]+" value="[^"]*"', form)
        if not re.search(r'name="(key|csrfmiddlewaretoken|seen)"', field)
    ]
    named = [re.search(rf'{name}="([^"]*)"', head) for name in ("action", "data-keep")]
    return (*(found[1] if found else "" for found in named), *about)


def test_what_is_kept_is_every_form_and_no_secret() -> None:
    """Kept by what it is, not by opting in; what must not lie in a tablet is left out by its kind."""
    script = (SRC / "bench" / "static" / "bench" / "keep.js").read_text(encoding="utf-8")
    assert 'form.method === "post"' in script and "form[data-keep]" not in script
    assert 'field.type === "password"' in script and 'field.type === "file"' in script


def test_a_form_of_another_sign_in_is_refused_in_a_sentence(cast: Cast) -> None:
    """No token: 403, nothing saved, and what to do."""
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post("/sign-in/", {"sign_in": "ines", "passphrase": "whatever this is"})
    assert answer.status_code == 403
    assert "Somebody else signed in meanwhile, so nothing was saved." in answer.content.decode()


def test_a_page_that_does_not_exist_is_said_plainly(cast: Cast, tablet: Client) -> None:
    """Also to a stranger, who learns nothing from it."""
    for client in (tablet, Client()):
        answer = client.get("/no-such-page/")
        assert answer.status_code == 404
        assert (
            "There is no page &quot;/no-such-page/&quot;. Choose one from the shop day."
            in answer.content.decode()
        )


def test_too_much_at_once_is_refused_in_a_sentence(cast: Cast, tablet: Client) -> None:
    """Over 2 MB: 400, and nothing is saved."""
    answer = tablet.post("/check-in/", {"owner_words": "x" * 2_100_000, "key": "too-much-0001"})
    assert answer.status_code == 400
    assert "larger than 2 MB: nothing was saved" in answer.content.decode()


def test_a_fault_of_ours_is_a_sentence_without_the_fault(
    cast: Cast, tablet: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """500: nothing of the inside is shown."""
    monkeypatch.setattr("pinchbolt.bench.shop_day.shop_day_screen.day_of", lambda now: 1 / 0)
    tablet.raise_request_exception = False
    answer = tablet.get("/")
    assert answer.status_code == 500
    assert "Something went wrong" in answer.content.decode().replace("'", "&#x27;")
    assert "ZeroDivisionError" not in answer.content.decode()


@pytest.mark.parametrize(
    ("asked", "shown"), [("dark", "dark"), ("light", "light"), ("auto", "auto"), ("<b>", "auto")]
)
def test_the_light_of_the_page_is_kept_on_the_tablet(
    cast: Cast, tablet: Client, asked: str, shown: str
) -> None:
    """A switch, for bright shops and dark cellars; an unknown word changes nothing."""
    answer = tablet.post("/look/", {"look": asked, "back": "/tools/"})
    assert answer["Location"] == "/tools/"
    assert f'data-look="{shown}"' in tablet.get("/tools/").content.decode()


def test_the_switch_never_leads_out_of_the_workshop(cast: Cast, client: Client) -> None:
    """An address elsewhere is dropped."""
    assert client.post("/look/", {"look": "dark", "back": "https://elsewhere.example/"})["Location"] == "/"


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("1,8", "1.8"),
        ("1.8", "1.8"),
        ("1,250", "1250"),
        ("1 250", "1250"),
        ("12,500.5", "12500.5"),
        ("0,125", "0.125"),
        ("", ""),
    ],
)
def test_a_figure_is_read_as_it_was_meant(typed: str, read: str) -> None:
    """A comma before three figures sets thousands apart, any other one is the decimal point."""
    assert plain_figure(typed) == read
