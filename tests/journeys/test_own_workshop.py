"""From an empty home folder to a workshop of one's own with a bike checked in, and a look into the invented one, by pages only."""

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.cli.conftest import outside
from tests.journeys.browser import SIZES, opened, pictured
from tests.servers import GIVE_UP_S, answered, free_port

SERVE = "from pinchbolt.cli import main; raise SystemExit(main())"
WORDS = "four plain words here"


@contextmanager
def empty_home(folder: Path) -> Iterator[str]:
    """A server on a home folder that is new; gives the address that it prints."""
    port, log = free_port(), folder / "server.log"
    with (
        log.open("w") as out,
        subprocess.Popen(
            [sys.executable, "-u", "-c", SERVE, "serve", "--port", str(port)],
            env=outside(folder / "home"),
            stdout=out,
            stderr=out,
        ) as server,
    ):
        try:
            answered(f"http://127.0.0.1:{port}/open/", lambda: server.poll() is None)
            found = re.search(r"Open (http://\S+)", log.read_text())
            assert found, log.read_text()
            yield found[1]
        finally:
            server.terminate()
            server.wait(GIVE_UP_S)


def open_own(page: Page) -> None:
    """Fill in the one page; everything that is not typed has a default."""
    page.get_by_role("link", name="open your own").click()
    page.get_by_label("name", exact=True).fill("Tollgate Bench")
    page.get_by_label("town").fill("Winterby")
    page.get_by_label("labour an hour").fill("54")
    page.get_by_label("you", exact=True).fill("Rosa Tindle")
    page.get_by_label("passphrase").fill("tollgate1")
    page.get_by_role("button", name="open the workshop").click()
    # Said once, beside its field.
    expect(page.get_by_text("The passphrase has 9 characters").filter(visible=True)).to_have_count(1)
    expect(page.get_by_label("town")).to_have_value("Winterby")
    page.get_by_label("passphrase").fill(WORDS)
    page.get_by_role("button", name="open the workshop").click()


@pytest.mark.parametrize("size", SIZES)
def test_a_shop_opens_its_own_book_and_takes_in_its_first_bike(
    size: str, browser: Browser, tmp_path: Path
) -> None:
    """Nothing of the invented workshop is in it, a refused passphrase loses no entry, and the first bike is in."""
    with empty_home(tmp_path) as address:
        page = opened(browser, size, address.partition("/open")[0])
        page.goto(address)
        pictured(page, f"own-doors-{size}")
        open_own(page)
        expect(page.get_by_role("link", name="shop day").first).to_be_visible()
        expect(page.get_by_text("DEMO")).to_have_count(0)
        pictured(page, f"own-day-{size}")
        page.goto("/settings/shop/")
        expect(page.get_by_label("name", exact=True)).to_have_value("Tollgate Bench")
        pictured(page, f"own-workshop-{size}")
        page.goto("/check-in/?template=road-disc")
        page.get_by_label("owner").first.fill("Ada Fenwick")
        page.get_by_role("button", name="check the bike in").click()
        expect(page.get_by_text("Ada Fenwick").first).to_be_visible()
        page.goto("/")
        expect(page.get_by_text("Ada Fenwick").first).to_be_visible()
        # The doors are closed for good.
        page.goto("/open/own/")
        expect(page).to_have_url(re.compile(r"/sign-in/"))


def test_the_invented_workshop_is_looked_around_and_left(browser: Browser, tmp_path: Path) -> None:
    """It is made ready beside the book, says DEMO, shows the words that open it, and leads back; nothing of it stays in the book."""
    with empty_home(tmp_path) as address:
        page = opened(browser, "tablet", address.partition("/open")[0])
        page.goto(address)
        page.get_by_role("button", name="look around").click()
        expect(page.get_by_text("DEMO").first).to_be_visible()
        pictured(page, "own-demo-sign-in")
        words = page.locator(".invented dd .tag-code").first.inner_text()
        page.locator("input[value=ines]").check(force=True)
        page.get_by_label("passphrase").fill(words)
        page.get_by_role("button", name="sign in").click()
        expect(page.get_by_role("link", name="shop day").first).to_be_visible()
        page.get_by_role("link", name="leave the demo").click()
        expect(page.get_by_role("heading", name="Two doors")).to_be_visible()
        open_own(page)
        expect(page.get_by_role("link", name="shop day").first).to_be_visible()
        expect(page.get_by_text("Rosa Tindle")).to_be_visible()
    assert (tmp_path / "home-demo" / "invented-people.json").stat().st_mode & 0o077 == 0
