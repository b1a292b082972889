"""Who works here: the owner of the workshop adds people, and everybody minds their own PIN."""

from hashlib import sha256

import pytest
from django.contrib.auth.hashers import check_password
from django.test import override_settings

from pinchbolt.errors import InputRefused, NotAllowed, NotFound
from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.acts.acting import _digest
from pinchbolt.workshop.acts.change_people import PassphraseRequest, set_passphrase
from pinchbolt.workshop.acts.manage_people import (
    PersonRequest,
    PinRequest,
    add_person,
    people,
    person_named,
    set_pin,
)
from tests.story import NOW, PASSPHRASE, Story


@pytest.fixture
def marnie(arrived: Story) -> Person:
    """The owner of the workshop."""
    return Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE, "2468")


def added(by: Person, at: Story, **other: str) -> None:
    """Somebody new, with what is other than usual."""
    asked = {
        "sign_in": "wren",
        "name": "Wren Abara",
        "role": "mechanic",
        "passphrase": "three plain words",
        **other,
    }
    add_person(PersonRequest(**asked), by=by.pk, key=at.key(), now=NOW)


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        ({"passphrase": "x" * 9}, "The passphrase has 9 characters: 12 to 200 are allowed."),
        ({"passphrase": "x" * 201}, "The passphrase has 201 characters: 12 to 200 are allowed."),
        ({"pin": "123"}, "The PIN is not 4 to 8 figures"),
        ({"pin": "123456789"}, "The PIN is not 4 to 8 figures"),
        ({"pin": "12a4"}, "The PIN is not 4 to 8 figures"),
        ({"pin": "١٢٣٤"}, "The PIN is not 4 to 8 figures"),
        ({"role": "king"}, 'The role is "king"'),
        # Of very many letters, the first forty are told back.
        ({"role": "k" * 41}, f'The role is "{"k" * 40}":'),
        ({"sign_in": "INES"}, 'The sign-in name "ines" is taken'),
        ({"sign_in": " "}, "Fill in the sign-in name."),
        ({"name": ""}, "Fill in the name."),
    ],
)
def test_what_is_no_good_for_a_person_is_refused_and_nobody_is_added(
    arrived: Story, marnie: Person, other: dict[str, str], sentence: str
) -> None:
    """By a sentence that says what is allowed."""
    with pytest.raises(InputRefused) as refused:
        added(marnie, arrived, **other)
    assert sentence in refused.value.sentence
    assert [one.sign_in for one in people()] == ["ines", "marnie", "tobias"]


@pytest.mark.parametrize(
    "other",
    [
        {"passphrase": "abcdefgjkm12"},
        {"passphrase": "abcdefgjkm12 " * 15},
        {"pin": "1234"},
        {"pin": "12345678"},
    ],
)
def test_the_ends_of_what_is_allowed_are_allowed(
    arrived: Story, marnie: Person, other: dict[str, str]
) -> None:
    """Ten characters are ten, and a PIN of four figures is a PIN."""
    added(marnie, arrived, **other)
    wren = person_named("Wren")
    assert (wren.name, wren.has_pin) == ("Wren Abara", "pin" in other)


def test_a_mechanic_adds_nobody(arrived: Story) -> None:
    """Only the owner of the workshop does."""
    with pytest.raises(NotAllowed):
        added(Person.objects.get(pk=arrived.first), arrived)


def test_everybody_sets_their_own_pin_and_nobody_another_s(arrived: Story) -> None:
    """Ines sets hers; Tobias's she may not, and it stays none."""
    set_pin(PinRequest("ines", "4711"), by=arrived.first, key=arrived.key(), now=NOW)
    assert person_named("ines").has_pin
    with pytest.raises(NotAllowed):
        set_pin(PinRequest("tobias", "4711"), by=arrived.first, key=arrived.key(), now=NOW)
    assert not person_named("tobias").has_pin


def test_the_owner_of_the_workshop_sets_and_takes_away_any_pin(arrived: Story, marnie: Person) -> None:
    """An empty one takes it away."""
    for pin in ("4711", ""):
        set_pin(PinRequest("Tobias", pin), by=marnie.pk, key=arrived.key(), now=NOW)
        assert person_named("tobias").has_pin is bool(pin)


def test_somebody_who_is_not_here_has_no_pin(arrived: Story, marnie: Person) -> None:
    """Who left signs in no more, and is named by the sentence."""
    Person.objects.filter(sign_in="tobias").update(is_active=False)
    with pytest.raises(NotFound, match='Nobody here signs in as "tobias"'):
        set_pin(PinRequest("tobias", "4711"), by=marnie.pk, key=arrived.key(), now=NOW)
    with pytest.raises(NotFound, match="ines, marnie"):
        person_named("tobias")


def test_no_secret_can_be_tried_against_the_records(arrived: Story, marnie: Person) -> None:
    """Neither words nor digest of an act hold a PIN or passphrase: two acts that differ in it alone leave the same trace."""
    for pin in ("4711", "73915"):
        set_pin(PinRequest("tobias", pin), by=marnie.pk, key=f"pin-set-{pin}", now=NOW)
    one, other = Event.objects.filter(key__startswith="pin-set-").order_by("pk")
    assert one.fingerprint == other.fingerprint and one.said == other.said == {"sign_in": "tobias"}


def test_what_was_said_can_not_be_tried_without_the_key(arrived: Story) -> None:
    """A digest that anybody can compute from a guess would confirm an owner's number for ever."""
    event = Event.objects.get(kind="checked in")
    with override_settings(SECRET_KEY="another machine's"):
        assert _digest("checked in", {}) not in (event.fingerprint, sha256(b"").hexdigest())
        other = _digest("checked in", event.said)
    assert other != _digest("checked in", event.said)


def test_a_repeated_request_with_another_secret_is_refused(arrived: Story, marnie: Person) -> None:
    """The answer got lost, another PIN was typed, the same mark came: nobody is told that the second one holds."""
    key = arrived.key()
    set_pin(PinRequest("tobias", "4711"), by=marnie.pk, key=key, now=NOW)
    set_pin(PinRequest("tobias", "4711"), by=marnie.pk, key=key, now=NOW)
    for other in ("4712", ""):
        with pytest.raises(InputRefused, match="another PIN or passphrase"):
            set_pin(PinRequest("tobias", other), by=marnie.pk, key=key, now=NOW)
    assert check_password("4711", Person.objects.get(sign_in="tobias").pin)
    key = arrived.key()
    set_passphrase(PassphraseRequest("tobias", "harbour lantern gravel"), by=marnie.pk, key=key, now=NOW)
    with pytest.raises(InputRefused, match="another PIN or passphrase"):
        set_passphrase(PassphraseRequest("tobias", "lantern harbour gravel"), by=marnie.pk, key=key, now=NOW)
