"""Who works here: everybody sets their own PIN, only the owner of the workshop adds people."""

from collections.abc import Callable

import pytest
from django.contrib.auth.hashers import check_password
from django.test import Client

from pinchbolt.records.models import Person
from tests.bench.conftest import Cast
from tests.story import PASSPHRASE

pytestmark = pytest.mark.django_db

NEW = {
    "name": "Wren Abara",
    "sign_in": "wren",
    "role": "mechanic",
    "passphrase": "saturday hand learning",
    "person_proof": PASSPHRASE,
}
SignedIn = Callable[[Person], Client]


def test_the_owner_of_the_workshop_adds_a_person(cast: Cast, signed_in: SignedIn) -> None:
    """The new person can sign in."""
    answer = signed_in(cast.owner).post("/settings/people/add/", {**NEW, "key": "new-person-1"})
    assert answer.status_code == 303
    assert Client().post("/sign-in/", {"sign_in": "wren", "passphrase": NEW["passphrase"]}).status_code == 302


def test_nobody_else_adds_a_person(cast: Cast, signed_in: SignedIn) -> None:
    """The form is not shown to a mechanic, and sending it is refused."""
    for person in (cast.mechanic, cast.counter):
        tablet = signed_in(person)
        assert "Add a person" not in tablet.get("/settings/people/").content.decode()
        answer = tablet.post("/settings/people/add/", {**NEW, "key": f"not-allowed-{person.pk}"})
        assert answer.status_code == 403
        assert "this is for the owner of the workshop" in answer.content.decode()
    assert not Person.objects.filter(sign_in="wren").exists()


@pytest.mark.parametrize("role", ["owner", "mechanic", "counter"])
def test_everybody_sets_their_own_pin(cast: Cast, signed_in: SignedIn, role: str) -> None:
    """With their own name it needs nobody else."""
    person = getattr(cast, role)
    answer = signed_in(person).post(
        "/settings/people/pin/",
        {"sign_in": person.sign_in, "pin": "97531", "pin_proof": PASSPHRASE, "key": "own-pin-0001"},
    )
    assert answer.status_code == 303
    person.refresh_from_db()
    assert check_password("97531", person.pin)


def test_only_the_owner_of_the_workshop_sets_the_pin_of_others(cast: Cast, signed_in: SignedIn) -> None:
    """A mechanic can't take over another's name."""
    other = {"sign_in": "tobias", "pin": "97531", "pin_proof": PASSPHRASE}
    assert (
        signed_in(cast.mechanic).post("/settings/people/pin/", {**other, "key": "other-pin-01"}).status_code
        == 403
    )
    assert (
        signed_in(cast.owner).post("/settings/people/pin/", {**other, "key": "other-pin-02"}).status_code
        == 303
    )


@pytest.mark.parametrize("pin", ["123", "123456789", "12a4"])
def test_a_pin_that_is_not_4_to_8_figures_is_refused(cast: Cast, tablet: Client, pin: str) -> None:
    """The sentence stands at the keypad; the PIN itself is not written into the page."""
    answer = tablet.post(
        "/settings/people/pin/",
        {"sign_in": "ines", "pin": pin, "pin_proof": PASSPHRASE, "key": "bad-pin-0001"},
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The PIN is not 4 to 8 figures: use figures only, 4 to 8 of them." in page
    assert f'value="{pin}"' not in page


def test_a_refused_person_comes_back_with_entries_kept_but_not_the_passphrase(
    cast: Cast, signed_in: SignedIn
) -> None:
    """A taken name: the rest stays, the secret is typed again."""
    answer = signed_in(cast.owner).post(
        "/settings/people/add/", {**NEW, "sign_in": "ines", "key": "taken-name-1"}
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The sign-in name &quot;ines&quot; is taken: choose another." in page
    assert 'value="Wren Abara"' in page
    assert 'value="mechanic" checked' in page
    assert NEW["passphrase"] not in page


def test_a_double_tap_adds_one_person(cast: Cast, signed_in: SignedIn, counted: Callable[[str], int]) -> None:
    """The same mark is the same act."""
    tablet = signed_in(cast.owner)
    answers = [
        tablet.post("/settings/people/add/", {**NEW, "key": "double-tap-1"}).status_code for _ in range(2)
    ]
    assert answers == [303, 303]
    assert counted("person added") == 1
    assert Person.objects.filter(sign_in="wren").count() == 1


@pytest.mark.parametrize("page", ["/settings/people/pin/", "/settings/people/add/"])
def test_what_writes_is_only_sent(cast: Cast, tablet: Client, page: str) -> None:
    """Opening the address writes nothing and shows the page."""
    assert tablet.get(page)["Location"] == "/settings/people/"


@pytest.mark.parametrize("wrong", ["", "another phrase"])
def test_a_way_in_is_changed_by_whoever_knows_their_own_passphrase_alone(
    cast: Cast, signed_in: SignedIn, wrong: str, counted: Callable[[str], int]
) -> None:
    """A tablet that the owner left signed in makes nobody an owner for good (ASVS 5.0, 6.2.3 and 7.5.1)."""
    tablet, before = signed_in(cast.owner), Person.objects.get(pk=cast.owner.pk)
    asked = {
        "pin": {"sign_in": "marnie", "pin": "97531", "pin_proof": wrong},
        "passphrase": {
            "sign_in": "marnie",
            "passphrase": "lamp under seven stairs",
            "passphrase_proof": wrong,
        },
        "add": {**NEW, "person_proof": wrong},
    }
    for what, sent in asked.items():
        answer = tablet.post(f"/settings/people/{what}/", {**sent, "key": f"unproved-{what}"})
        assert (
            answer.status_code == 422
            and "This is not the passphrase of Marnie Oakes" in answer.content.decode()
        )
    after = Person.objects.get(pk=cast.owner.pk)
    assert (after.password, after.pin) == (before.password, before.pin)
    assert not Person.objects.filter(sign_in="wren").exists()
    assert not any(counted(kind) for kind in ("person added", "own pin set", "own passphrase set"))
