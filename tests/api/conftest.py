"""A client of the JSON door with the token of a mechanic."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import caches
from django.test import Client

from tests import story
from tests.story import PASSPHRASE, Story

Send = Callable[..., tuple[int, Any]]


@pytest.fixture(autouse=True)
def no_wrong_tries() -> None:
    """Wrong tries of one test are not counted in the next."""
    caches["tries"].clear()


@pytest.fixture
def asked_for(db: None) -> Story:
    """A bike, walked round, its owner asked."""
    return story.priced(story.walked_round(story.checked_in()))


@pytest.fixture
def arrived(db: None) -> Story:
    """A bike that is just in."""
    return story.checked_in()


def sign_in(client: Client, name: str = "ines", passphrase: str = PASSPHRASE) -> Any:
    """The answer to a sign-in."""
    return client.post(
        "/api/sign-in", {"name": name, "passphrase": passphrase}, content_type="application/json"
    )


def enter(client: Client) -> None:
    """Sign in at the screens, with a cookie."""
    client.post("/sign-in/", {"sign_in": "ines", "passphrase": PASSPHRASE})


@pytest.fixture
def send(client: Client) -> Send:
    """Send a request as a mechanic: method, path below /api, body, request mark; gives status and JSON."""

    def sent(method: str, path: str, body: Any = None, key: str = "") -> tuple[int, Any]:
        token = sign_in(client).json()["token"]
        headers = {"Authorization": f"Bearer {token}", **({"Idempotency-Key": key} if key else {})}
        answer = client.generic(
            method,
            f"/api{path}",
            b"" if body is None else _json(body),
            content_type="application/json",
            headers=headers,
        )
        return answer.status_code, answer.json()

    return sent


def _json(body: Any) -> bytes:
    return body if isinstance(body, bytes) else json.dumps(body).encode()
