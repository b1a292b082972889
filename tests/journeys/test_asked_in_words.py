"""Five everyday questions on the page, asked as they are said at the counter: no code is typed and none is chosen."""

from playwright.sync_api import Browser, expect

from tests.bench.test_fit_pages import EVERYDAY
from tests.journeys.browser import is_fault, opened
from tests.journeys.conftest import Server
from tests.journeys.people import NAMES, PASSPHRASE


def test_five_everyday_questions_are_answered_by_words_alone(browser: Browser, server: Server) -> None:
    """From the swap page on: open the box, ask, read the verdict; the next is asked where the answer stands."""
    said: list[str] = []
    page = opened(browser, "tablet", server.address)
    page.on("console", lambda line: said.append(line.text) if is_fault(line) else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto("/")
    page.get_by_role("radio", name=NAMES["ines"]).check(force=True)
    page.get_by_label("passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name="sign in").click()
    expect(page.locator(".head-person")).to_contain_text(NAMES["ines"])
    page.goto("/swap/")
    page.get_by_text("does one part fit another? ask in words").click()
    for words, verdict in EVERYDAY:
        box = page.get_by_label("ask as you would say it")
        box.fill(words)
        box.press("Enter")
        answer = page.locator("section", has=page.locator("#fit-answer"))
        expect(answer).to_contain_text(verdict)
        expect(page.get_by_label("ask as you would say it")).to_have_value(words)
    assert not said, said
