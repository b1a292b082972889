"""With every address of the list rewritten, each page still leads on and each act still comes back: nobody else knows one."""

import html
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import resolve, reverse

from pinchbolt.records.models import Part
from pinchbolt.workshop.proof.open_claim import ClaimRequest, open_claim
from tests.bench.job_screens.acts import ACTS, Act, as_it_is
from tests.bench.job_screens.conftest import client_of, started
from tests.bench.pages import addresses
from tests.story import NOW, Story

# A scanned tag leads there; a worn chain that was read does; and nobody who is signed in is led to the sign-in.
NOT_LED_TO = {
    "two_doors",
    "open_own",
    "workshop_back",
    "looking_around",
    "by_hang_tag",
    "by_printed_tag",
    # A code leads there; the certificate stands on its page once the book is served to the network.
    "sealed_by_camera",
    "authority",
    "change_point",
    # Pieces that a page fetches.
    "days_at_check_in",
    "days_of_job",
    # A picture stands on its page.
    "photo_jpeg",
}
LED = re.compile(r'\s(href|action|formaction|hx-post)="([^"]*)"')


@pytest.fixture(autouse=True)
def elsewhere(settings: Any) -> None:
    """The address list is another one."""
    settings.ROOT_URLCONF = "tests.bench.moved"


def led_to(page: str) -> Iterator[tuple[str, str, str]]:
    """What a page leads to: a link or an act, the name of the screen, its address."""
    for kind, value in LED.findall(page):
        address = html.unescape(value).partition("#")[0]
        if address and not address.startswith(("?", "/static/")):
            name = resolve(address.partition("?")[0]).url_name
            yield ("link" if kind == "href" else "act"), str(name), address


def test_every_page_is_reached_from_the_shop_day(arrived: Story) -> None:
    """By links alone; no page leads nowhere, and every form is sent to an act that there is."""
    started(arrived)
    saddle = Part.objects.get(fittings__bike__tag=arrived.tag, kind="saddle")
    open_claim(ClaimRequest("part", saddle.pk, "a rail broke"), by=arrived.first, key=arrived.key(), now=NOW)
    client = client_of("ines")
    asked: dict[str, int] = {"shop_day": 1}
    acts, waiting, seen = set[str](), ["/AT-HOME/"], {"/AT-HOME/"}
    while waiting:
        there = waiting.pop()
        answer = client.get(there, follow=True)
        # 422: led there from a bike that does not know all of it; the page is there, and says what is missing.
        assert answer.status_code in (200, 409, 422), there
        if not answer["Content-Type"].startswith("text/html"):
            continue
        for kind, name, address in led_to(answer.content.decode()):
            if kind == "act":
                acts.add(name)
            elif address not in seen and asked.get(name, 0) < 2:
                seen.add(address)
                asked[name] = asked.get(name, 0) + 1
                waiting.append(address)
    # A form that is looked at with an entry (method="get") leads to a page as a link does.
    pages = {one.name for one in addresses() if one.is_page}
    assert pages - set(asked) - acts == NOT_LED_TO
    assert len(acts) > 40


BACK = [
    act for act in ACTS if act.stage is as_it_is or act.name in ("a done value", "signing off", "leaving")
]


@pytest.mark.parametrize("act", BACK, ids=lambda act: act.name)
def test_an_act_comes_back_to_a_page(act: Act, arrived: Story) -> None:
    """What is answered after an act is a page of the other list."""
    address, data = act.ready(arrived)
    client, sent_to = client_of("ines"), resolve(address, urlconf="pinchbolt.serving.urls")
    answer = client.post(reverse(str(sent_to.url_name), kwargs=sent_to.kwargs), data)
    assert answer.status_code == 303, answer.content.decode()[:2000]
    assert client.get(answer["Location"].partition("#")[0], follow=True).status_code == 200


def test_a_stranger_is_led_to_the_sign_in_wherever_it_is(arrived: Story) -> None:
    """And the JSON door keeps its own refusals, with the address of its description."""
    answer = Client().get("/AT-tools/")
    assert answer["Location"].startswith("/AT-sign-in/")
    refused = Client().get("/AT-DOOR/no-such-thing")
    assert refused.json()["error"] == "There is nothing at this address. See /AT-DOOR/openapi.json."
