"""Ten minutes at the stand on a phone: the next card first, few taps, and a lost signal in the middle loses nothing."""

import re

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.journeys.browser import opened, pictured
from tests.journeys.conftest import Server
from tests.journeys.front_door import sign_in, take_in

MOST_TAPS, HEIGHT = 17, 844
DONE = "looked at: the rest is good"


@pytest.fixture
def phone(server: Server, browser: Browser) -> Page:
    """Signed in on a phone, with a gravel bike just taken in; the walk-round's first page is open."""
    page = opened(browser, "phone", server.address)
    sign_in(page)
    job = take_in(page)
    page.goto(f"/job/{job}/looks/?minutes=10")
    return page


def test_a_sound_gravel_bike_in_few_taps(phone: Page) -> None:
    """Nothing scrolled before the first card; one tap a card and one a measurement; a tap without signal is sent again."""
    assert phone.evaluate("window.scrollY") == 0
    first = phone.locator("#card .look-words").first.bounding_box()
    assert phone.locator("#card input:checked").count() == 0
    assert first is not None and first["y"] + first["height"] < HEIGHT
    pictured(phone, "ten-minutes-phone")
    taps, cards = 0, 0
    while phone.locator("#card .look-form, #card .look-measure").count():
        before = phone.locator("#card").inner_text()
        buttons = phone.locator("#card .look-measure .look-buttons").first
        if buttons.count():
            buttons.get_by_role("button").first.click()
        elif cards == 2:
            _without_signal(phone)
        else:
            # What is typed is left out here; "not measured now" is a tap like another.
            phone.locator("#card .look-done").click()
        taps, cards = taps + 1, cards + 1
        assert taps <= MOST_TAPS, phone.locator("#card").inner_text()
        phone.wait_for_function("was => document.querySelector('#card').innerText !== was", arg=before)
    expect(phone.locator("#card h2")).to_have_text("10 minutes are full")
    assert re.fullmatch(
        r"nothing found in (4\d|5\d) of \d\d looks", phone.locator("#looked-name").inner_text()
    )
    expect(phone.locator("#looked .caution")).to_have_count(0)


def _without_signal(phone: Page) -> None:
    """The tap goes nowhere, the page says so and keeps the card; with signal again one tap sends the same act."""
    phone.context.set_offline(True)
    phone.get_by_role("button", name=DONE, exact=True).click()
    expect(phone.locator("[data-signal]")).to_be_visible()
    expect(phone.get_by_role("button", name=DONE, exact=True)).to_be_visible()
    phone.context.set_offline(False)
    phone.get_by_role("button", name="try again", exact=True).click()


def test_a_lost_signal_in_the_middle_loses_nothing(phone: Page) -> None:
    """A find is tapped, the signal goes, the page is opened again: the find is still tapped, and is written once.

    Then the answer is lost on its way back, after the workshop has written it: the second try writes nothing twice.
    """
    phone.get_by_role("button", name=DONE, exact=True).click()
    expect(phone.locator("#looked-name")).to_contain_text("nothing found in")
    before = (phone.locator("#card h2").text_content() or "").strip()
    bad = phone.locator("#card .look-bad input").first
    name = bad.get_attribute("name")
    bad.check(force=True)
    phone.context.set_offline(True)
    phone.get_by_role("button", name=DONE, exact=True).click()
    expect(phone.locator("[data-signal]")).to_be_visible()
    phone.context.set_offline(False)
    phone.reload()
    expect(phone.locator("#card h2")).to_have_text(before)
    expect(phone.locator(f'#card .look-bad input[name="{name}"]').first).to_be_checked()

    def lost(route: Route) -> None:
        route.fetch(max_redirects=0)
        route.abort("connectionreset")

    phone.route(re.compile("/looks/card/"), lost)
    phone.get_by_role("button", name=DONE, exact=True).click()
    expect(phone.locator("[data-signal]")).to_be_visible()
    phone.unroute(re.compile("/looks/card/"))
    phone.get_by_role("button", name="try again", exact=True).click()
    expect(phone.locator("#looked-name")).to_contain_text("1 found in")
    expect(phone.locator("#card h2")).not_to_have_text(before)


def test_a_wrong_tap_is_undone_on_the_card(phone: Page) -> None:
    """One tap back: the same card is up again, and nothing was looked at."""
    before = phone.locator("#card h2").text_content() or ""
    phone.get_by_role("button", name=DONE, exact=True).click()
    expect(phone.locator(".last-tap")).to_contain_text("all good")
    phone.locator(".last-tap").get_by_role("button", name="undo").click()
    expect(phone.locator("#card h2")).to_have_text(before)
    expect(phone.locator("#looked-name")).to_contain_text("nothing looked at yet")
