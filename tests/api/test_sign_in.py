"""Signing in at the JSON door."""

from datetime import timedelta

import pytest
from django.core import signing
from django.test import Client
from django.utils import timezone

from pinchbolt.workshop.acts.manage_people import LOCKED_SENTENCE
from tests.api.conftest import enter, sign_in
from tests.story import Story

NOBODY = {
    "error": "Nobody is signed in: send a token from /api/sign-in as 'Authorization: Bearer ...'.",
    "errors": {},
    "status": 401,
}


def test_name_and_passphrase_give_a_token_that_opens_the_day(client: Client, arrived: Story) -> None:
    """And the name may be typed in capitals."""
    told = sign_in(client, "INES").json()
    assert told["name"] == "Ines Holloway" and told["hours"] == 12
    answer = client.get("/api/day", headers={"Authorization": f"Bearer {told['token']}"})
    assert answer.status_code == 200 and answer.json()["workshop"] == "Mossgate Yard Workshop"


@pytest.mark.parametrize(
    "path", ["/api/day", "/api/bike/PB-001", "/api/job/1/estimate", "/api/job/1/sheet/estimate", "/api/tools"]
)
@pytest.mark.parametrize("header", ["", "Bearer nonsense", "Bearer", "Basic aW5lczp4"])
def test_without_a_token_nothing_is_told(client: Client, arrived: Story, path: str, header: str) -> None:
    """The same envelope for no token, a wrong one and another kind."""
    answer = client.get(path, headers={"Authorization": header} if header else {})
    assert (answer.status_code, answer.json()) == (401, NOBODY)


def test_a_session_of_the_screens_opens_no_door_here(client: Client, arrived: Story) -> None:
    """A cookie is no token, so no other site can use a mechanic's browser to write here."""
    enter(client)
    assert client.get("/").status_code == 200
    assert client.get("/api/day").status_code == 401


def test_a_token_ends_when_the_passphrase_is_changed(client: Client, arrived: Story) -> None:
    """It carries a proof of the passphrase that it was given for."""
    from pinchbolt.records.models import Person

    token = sign_in(client).json()["token"]
    ines = Person.objects.get(sign_in="ines")
    ines.set_password("another phrase now")
    ines.save()
    assert client.get("/api/day", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_a_token_of_somebody_who_left_is_worth_nothing(client: Client, arrived: Story) -> None:
    """At once, not in twelve hours."""
    from pinchbolt.records.models import Person

    token = sign_in(client).json()["token"]
    Person.objects.filter(sign_in="ines").update(is_active=False)
    assert client.get("/api/day", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_a_token_ends_after_its_hours(
    client: Client, arrived: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twelve hours and a second later it is worth nothing."""
    token = sign_in(client).json()["token"]
    made = timezone.now()
    monkeypatch.setattr("django.utils.timezone.now", lambda: made + timedelta(hours=12, seconds=1))
    assert client.get("/api/day", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_a_signed_text_of_another_kind_is_no_token(client: Client, arrived: Story) -> None:
    """What the same key signed for something else does not sign in."""
    token = signing.dumps({"person": arrived.first, "proof": "x"}, salt="something else")
    assert client.get("/api/day", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_five_wrong_passphrases_lock_the_name(client: Client, arrived: Story) -> None:
    """The same guard and sentence as on the screens; the right passphrase helps no more, another name is free."""
    tries = [sign_in(client, passphrase=f"wrong {n}").status_code for n in range(6)]
    assert tries[0] == 401 and tries[-1] == 429
    locked = sign_in(client)
    assert (locked.status_code, locked.json()) == (
        429,
        {"error": LOCKED_SENTENCE, "errors": {}, "status": 429},
    )
    assert sign_in(client, "tobias").status_code == 200


def test_wrong_tries_here_count_on_the_screens_too(client: Client, arrived: Story) -> None:
    """One guard for both doors."""
    for n in range(6):
        sign_in(client, passphrase=f"wrong {n}")
    answer = client.post("/sign-in/", {"sign_in": "ines", "passphrase": "three plain words"})
    assert answer.status_code == 429


def test_an_unknown_name_is_refused_like_a_wrong_passphrase(client: Client, arrived: Story) -> None:
    """Nobody learns who works here."""
    assert sign_in(client, "stranger").json() == sign_in(client, passphrase="wrong").json()
