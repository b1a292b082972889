"""What comes up, in a real browser on a tablet and a phone: the promise moved, a fault found on the stand, and undone with one tap."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.journeys.browser import SIZES, opened, pictured
from tests.journeys.conftest import Server
from tests.journeys.front_door import sign_in, take_in

LEAST = 44
"""Side of a target in CSS pixels: WCAG 2.5.5."""


def looks_right(page: Page, name: str, size: str) -> None:
    """Nothing runs off sideways, nothing that is tapped in the page is too small; and a picture of it."""
    pictured(page, f"came-up-{name}-{size}")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), name
    small = page.evaluate(
        """least => [...document.querySelectorAll('main a.way-out, main button, main .choice, main .job-top a, main .job-note a')]
            .filter(one => one.getClientRects().length && one.getBoundingClientRect().height < least)
            .map(one => one.innerText)""",
        LEAST,
    )
    assert small == [], name


@pytest.mark.parametrize("size", SIZES)
def test_what_comes_up_takes_few_taps_and_can_be_undone(server: Server, browser: Browser, size: str) -> None:
    """From any page of the job: four taps to a new promise; a fault with its line in one form; undo on the receipt."""
    page = opened(browser, size, server.address)
    sign_in(page)
    job = take_in(page)
    page.goto(f"/job/{job}/work/")
    page.get_by_role("link", name="something came up").click()
    looks_right(page, "page", size)
    page.get_by_role("link", name="new promise").click()
    page.locator("input[name=day]").nth(1).check(force=True)
    page.get_by_role("radio", name="more work").check(force=True)
    looks_right(page, "promise", size)
    page.get_by_role("button", name="promise it").click()
    expect(page.locator(".job-promise")).to_contain_text("promised")
    expect(page.get_by_text("owner not told")).to_be_visible()
    page.get_by_role("link", name="another fault found").click()
    page.get_by_label("what was found, and where").fill("Headset rough when it is turned")
    page.get_by_label("the work for it").select_option("headset-adjust")
    page.get_by_role("button", name="save").click()
    expect(page.locator("h1")).to_have_text("Estimate")
    expect(page.locator(".receipt")).to_contain_text("the owner was asked")
    looks_right(page, "estimate", size)
    page.locator(".receipt").get_by_role("button").click()
    expect(page.locator("h1")).to_have_text("Estimate")
    expect(page.locator(".receipt")).not_to_contain_text("the owner was asked")
    page.goto(f"/job/{job}/parts/")
    looks_right(page, "job-parts", size)
    page.goto("/parts/")
    looks_right(page, "parts", size)
