"""An address that asks far more than hands do is told to wait; the others, and this machine, are answered."""

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from pinchbolt.serving.how_often import HowOften

TABLET, OTHER = "192.0.2.7", "192.0.2.8"


class Clock:
    """Seconds that a test sets."""

    now = 0.0

    def __call__(self) -> float:
        """What it shows."""
        return self.now


def test_after_six_hundred_at_once_an_address_waits_and_the_others_are_answered(rf: RequestFactory) -> None:
    """Twenty more a second are in hand again; another address, this machine, styles and scripts never wait for it."""
    clock = Clock()
    door = HowOften(lambda _: HttpResponse("answered"), clock)

    def asked(address: str, path: str = "/") -> int:
        return door(rf.get(path, REMOTE_ADDR=address)).status_code

    assert [asked(TABLET) for _ in range(601)] == [200] * 600 + [429]
    assert (
        asked(OTHER) == asked("127.0.0.1") == asked("::1") == asked(TABLET, "/static/bench/look.css") == 200
    )
    clock.now = 1.0
    assert [asked(TABLET) for _ in range(21)] == [200] * 20 + [429]
    clock.now = 3600.0
    assert [asked(TABLET) for _ in range(601)] == [200] * 600 + [429], "never more in hand than at the first"


def test_what_was_tried_while_waiting_costs_no_further_wait(rf: RequestFactory) -> None:
    """A tablet that tries again and again is answered as soon as one that waited."""
    clock = Clock()
    door = HowOften(lambda _: HttpResponse(""), clock)
    for _ in range(700):
        door(rf.get("/", REMOTE_ADDR=TABLET))
    clock.now = 0.06
    assert door(rf.get("/", REMOTE_ADDR=TABLET)).status_code == 200


def test_many_addresses_are_held_in_little_room(rf: RequestFactory) -> None:
    """Whoever asked longest ago is let go of first, and begins anew."""
    door = HowOften(lambda _: HttpResponse(""), Clock())
    for number in range(5_000):
        door(rf.get("/", REMOTE_ADDR=f"2001:db8::{number:x}"))
    assert len(door._in_hand) == 4_096 and "2001:db8::0" not in door._in_hand


@pytest.mark.django_db
def test_it_is_told_in_a_sentence_at_both_doors(monkeypatch: pytest.MonkeyPatch) -> None:
    """As every refusal: what happened and what to do; the worker of a tablet tries again on this status."""
    monkeypatch.setattr(HowOften, "_may_ask", lambda self, address: False)
    page = Client(REMOTE_ADDR=TABLET, headers={"host": "127.0.0.1"}).get("/")
    assert page.status_code == 429 and "Wait a moment and try again" in page.content.decode()
    door = Client(REMOTE_ADDR=TABLET, headers={"host": "127.0.0.1"}).get("/api/")
    assert door.status_code == 429 and door.json()["error"].startswith("This address asks too much")
    assert page.headers["Retry-After"] == door.headers["Retry-After"] == "2"
    assert "frame-ancestors 'none'" in page.headers["Content-Security-Policy"]
