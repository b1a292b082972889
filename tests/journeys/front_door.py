"""What most journeys begin with: somebody signs in, and a bike of a new owner is taken in."""

import re

from playwright.sync_api import Page, expect

from tests.journeys.people import NAMES, PASSPHRASE, new_owner


def say_who(page: Page, name: str = "ines") -> None:
    """On the page that asks who is there: this person, by passphrase."""
    page.get_by_role("radio", name=NAMES[name]).check(force=True)
    page.get_by_label("passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name="sign in", exact=True).click()


def sign_in(page: Page, name: str = "ines", address: str = "") -> None:
    """This person works at the tablet. *address* of the server, where the page does not know it."""
    page.goto(f"{address}/sign-in/")
    say_who(page, name)
    expect(page.locator(".head-person")).to_contain_text(NAMES[name])


def take_in(page: Page, template: str = "gravel-1x", address: str = "") -> str:
    """A bike of this template comes; the number of its job."""
    page.goto(f"{address}/check-in/?template={template}")
    page.get_by_label("owner").first.fill(new_owner())
    page.get_by_role("button", name="check the bike in", exact=True).click()
    page.wait_for_url(re.compile(r"/job/\d+/check-in/"))
    return str(re.findall(r"/job/(\d+)/", page.url)[0])
