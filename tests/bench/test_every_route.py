"""Every address of the program, read off the resolver, asked what an attacker would: signed out, by the wrong role, forged, by a
foreign name, in a frame. A new address without a rule fails here.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from pinchbolt.bench.whose import ANYBODY, SIGNED_IN, WHOSE
from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.acts.kinds_of_act import ACTS, May
from tests.bench.conftest import Cast
from tests.bench.pages import MADE, _methods, gaps_of

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Person], Client]
# What whoever is not signed in may open: the way in, the way to https, the opening of a workshop, how the JSON door is asked.
OPEN = {
    "sign_in", "sealed", "sealed_by_camera", "authority", "theme",
    "two_doors", "open_own", "workshop_back", "look_around", "looking_around",
    "openapi-json", "api:sign_in",
    # Its address is its key, and it says so (signed by this workshop's own secret).
    "calendar_feed",
    # Nothing is there, for anybody.
    "api-root",
}  # fmt: skip
# ASVS 5.0, 3.4: on every answer, whatever it is.
HEADERS = {
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


@dataclass(frozen=True, slots=True)
class Route:
    """An address with its gaps, its name, and what it is asked by."""

    pattern: str
    name: str
    methods: frozenset[str]

    @property
    def is_api(self) -> bool:
        """Whether it is of the JSON door."""
        return self.pattern.startswith("api/")


def routes() -> tuple[Route, ...]:
    """Every address that the resolver knows."""
    return tuple(_below("", get_resolver().url_patterns))


def _below(before: str, patterns: list[Any]) -> Iterator[Route]:
    for one in patterns:
        pattern = before + str(one.pattern)
        if isinstance(one, URLResolver):
            yield from _below(pattern, one.url_patterns)
        elif isinstance(one, URLPattern):
            yield Route(pattern, _name(pattern, one), _of(one.callback, pattern))


def _name(pattern: str, one: URLPattern) -> str:
    return f"api:{one.name}" if pattern.startswith("api/") and one.name == "sign_in" else str(one.name)


def _of(view: Any, pattern: str) -> frozenset[str]:
    if not pattern.startswith("api/"):
        return _methods(view)
    found = getattr(view, "csrf_exempt", False) and getattr(view, "__self__", None)
    operations = getattr(found, "operations", ()) if found else ()
    return frozenset(method for one in operations for method in one.methods) or frozenset({"GET", "POST"})


def filled(route: Route, cast: Cast) -> str:
    """The address with something in each gap; what is not named on the screens is the number of a row."""
    address = route.pattern
    for gap, value in gaps_of(cast, address).items():
        for sort in ("str:", "int:", "slug:", ""):
            address = address.replace(f"<{sort}{gap}>", str(value))
    return "/" + re.sub(r"<[^>]+>", "1", address)


ROUTES = routes()


def test_the_resolver_is_read_whole() -> None:
    """As many addresses as there are, none without a name."""
    assert len(ROUTES) > 250
    assert sum(route.is_api for route in ROUTES) > 100


def test_every_address_is_shut_to_whoever_is_not_signed_in(cast: Cast) -> None:
    """Whatever it is asked by: led to the sign-in, or 401 at the JSON door; nothing is written down. What is open is named above."""
    gaps_of(cast, MADE)
    before, stranger = Event.objects.count(), Client()
    for route in ROUTES:
        for method in sorted(route.methods - {"HEAD"} | {"GET", "POST"}):
            told = stranger.generic(method, filled(route, cast))
            if route.name in OPEN:
                assert told.status_code < 500, (route, method)
                continue
            shut = told.status_code in (401, 405) if route.is_api else told.status_code == 302
            assert shut, (route, method, told.status_code)
            if told.status_code == 302:
                assert told["Location"].startswith("/sign-in/"), (route, method)
    assert Event.objects.count() == before


def test_every_answer_forbids_frames_and_guessing_of_kinds(cast: Cast, tablet: Client) -> None:
    """Signed in or not, page, sheet or refusal: each carries the same headers, and no other page may draw it in a frame."""
    for client in (Client(), tablet):
        for route in ROUTES:
            told = client.get(filled(route, cast))
            for name, value in HEADERS.items():
                assert told[name] == value, (route, name)
            assert "frame-ancestors 'none'" in told["Content-Security-Policy"], route
            assert "Server" not in told, route


def test_every_form_of_another_page_is_refused(cast: Cast) -> None:
    """Without its mark, and with a foreign origin: 403 at every address that takes anything, whoever is signed in."""
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(cast.owner, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    gaps_of(cast, MADE)
    before = Event.objects.count()
    for route in ROUTES:
        if route.is_api or "POST" not in route.methods:
            continue
        for headers in ({}, {"origin": "https://elsewhere.example"}):
            assert strict.post(filled(route, cast), headers=headers).status_code == 403, route
    # The JSON door takes no cookie at all, so nobody can forge one.
    for route in ROUTES:
        if route.is_api and route.name not in OPEN:
            assert strict.post(filled(route, cast)).status_code in (401, 405), route
    assert Event.objects.count() == before


def test_no_address_answers_to_a_foreign_name(cast: Cast, tablet: Client) -> None:
    """400, and the name is in no link: a name of somebody else that leads here (DNS rebinding) gets nothing."""
    for route in ROUTES:
        told = tablet.get(filled(route, cast), headers={"host": "elsewhere.example"})
        assert told.status_code == 400, route
        assert b"elsewhere.example" not in told.content, route


def test_every_address_that_takes_something_has_its_rule() -> None:
    """A new one stands in bench/whose.py, with a kind of act that there is, and no rule is left of one that is gone."""
    sent_to = {route.name for route in ROUTES if not route.is_api and "POST" in route.methods}
    assert set(WHOSE) == sent_to
    assert {kind for kind in WHOSE.values() if kind} <= set(ACTS)
    assert {name for name, kind in WHOSE.items() if kind is ANYBODY} == OPEN & sent_to


def test_every_role_is_asked_for_its_right_before_anything_else(cast: Cast, signed_in: SignedIn) -> None:
    """An empty form by whoever may not is 403, never read; by whoever may it is read, and refused for what it lacks or taken."""
    roles = {"counter": cast.counter, "mechanic": cast.mechanic, "owner": cast.owner}
    tablets = {role: signed_in(person) for role, person in roles.items()}
    for route in ROUTES:
        kind = WHOSE.get(route.name)
        if route.is_api or not kind:
            continue
        may = {
            May.ALL: {"counter", "mechanic", "owner"},
            May.MECHANIC: {"mechanic", "owner"},
            May.OWNER: {"owner"},
        }
        for role, tablet in tablets.items():
            if role in may[ACTS[kind].may]:
                continue
            told = tablet.post(filled(route, cast))
            assert told.status_code == 403, (route.name, role, told.status_code)
            assert "refusal" in told.content.decode()


# Typed by hand, apart from the table in the program: what only the owner of the workshop may, and what the counter may not.
OWNERS = {
    "list taken in", "list taken back", "owner erased", "everything written out", "not collected", "bill terms set", "tax set", "person added",
    "passphrase set", "person retired", "person back", "workshop opened", "workshop described", "days set", "labour set", "words set",
    "row changed", "change point set", "tables read", "person changed", "tablet ended", "backup place set", "first list put away",
    "setting taken back", "hours set", "promise odds set", "calendar addresses changed",
}  # fmt: skip
COUNTERS = {
    "undone", "owner made", "owner changed", "consent said", "owners told apart", "owners merged", "merge undone", "bike added",
    "told what we hold", "checked in", "complaint told", "proposed", "withdrawn", "priced", "answered", "line answered", "asked together",
    "bike given over", "giving over undone",
    "limit said", "visit agreed", "owner tried", "text sent", "rest taken up", "set aside", "handed over", "call-back set", "bill made",
    "payment noted", "payment taken back", "promised", "owner told", "moved", "battery swollen", "called off", "tag lost", "tag given",
    "tag found", "collector named", "reminded", "ring first", "photo taken", "photo away", "part came", "on since said", "display read",
    "own bike added", "own trainer added", "own wheels added", "rides taken in", "rides placed", "rides moved", "rides taken back",
    "own pin set", "own passphrase set", "tablet named", "token made", "token ended",
    "delivery lines", "delivery came", "delivery taken back", "letter made", "letters made", "letter sent", "letter withdrawn",
    "call-back said", "call-back word taken back", "warranty said", "claim photographed", "claim moved",
}  # fmt: skip


def test_the_table_of_rights_is_as_it_was_agreed() -> None:
    """Readings and work are a mechanic's, who works there and what counts is the owner's of the workshop; a slip in the table fails."""
    assert {kind for kind, row in ACTS.items() if row.may is May.OWNER} == OWNERS
    assert {kind for kind, row in ACTS.items() if row.may is May.ALL} == COUNTERS


def test_whoever_is_signed_in_is_asked_by_the_act_itself() -> None:
    """What hangs on what is sent, or writes nothing down; each of these has its own test of who may."""
    assert {name for name, kind in WHOSE.items() if kind == SIGNED_IN} == {
        "switch", "sign_out", "try_row", "came_up_door", "undo", "move_wanted", "new_pin", "new_passphrase",
        "describe_part", "told", "joint_told", "round_told",
    }  # fmt: skip
