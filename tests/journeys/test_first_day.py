"""The first day of a shop, from an empty home to the first bike handed over, by pages alone: with keys on the tablet, with taps on the phone.

Whatever is sent is lost once: by turns on its way there and on its way back. Nothing that was typed goes, nothing is
written twice, and the second try asks what the first one asked.
"""

import re
import sqlite3
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.journeys.bad_signal import BadSignal, standing
from tests.journeys.browser import opened
from tests.journeys.test_own_workshop import WORDS, empty_home

MOST_TABS = 400
# Every field as it stands, the marks of a form aside.
STANDS = """() => [...document.querySelectorAll('main form')].flatMap(form => [...form.elements])
  .filter(one => one.name && one.type !== 'hidden' && one.type !== 'submit' && one.type !== 'file')
  .map(one => [one.name, one.type === 'radio' || one.type === 'checkbox' ? one.checked : one.value])"""


class Taps:
    """A finger on the phone."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def press(self, what: Locator) -> None:
        """A button or a link."""
        what.click()

    def write(self, what: Locator, words: str) -> None:
        """Words into a field."""
        what.fill(words)

    def tick(self, what: Locator) -> None:
        """A box, or one of several."""
        what.check(force=True)

    def pick(self, what: Locator, words: str) -> None:
        """One of a list."""
        what.select_option(label=words)


class Keys(Taps):
    """A keyboard at the tablet, and nothing else."""

    def press(self, what: Locator) -> None:
        """Go there, then Enter."""
        self.go_to(what)
        self.page.keyboard.press("Enter")

    def write(self, what: Locator, words: str) -> None:
        """Go there, and type over what stands there."""
        self.go_to(what)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(words)

    def tick(self, what: Locator) -> None:
        """The space bar; of several that belong together the arrows choose."""
        if what.get_attribute("type") != "radio":
            self.go_to(what)
            self.page.keyboard.press(" ")
            expect(what).to_be_checked()
            return
        name = what.get_attribute("name") or ""
        self._tab_until(lambda: self.page.evaluate("document.activeElement.name") == name)
        for _ in range(10):
            if what.is_checked():
                return
            self.page.keyboard.press(
                "ArrowDown" if self.page.evaluate("document.activeElement.checked") else " "
            )
        raise AssertionError(f"no key chooses {name}")

    def pick(self, what: Locator, words: str) -> None:
        """Go there, and type how it begins."""
        self.go_to(what)
        self.page.keyboard.type(words)
        assert what.locator("option:checked").inner_text().strip() == words

    def go_to(self, what: Locator) -> None:
        """Tab until it has the focus."""
        there = what.element_handle()
        self._tab_until(lambda: self.page.evaluate("one => one === document.activeElement", there))

    def _tab_until(self, there: Callable[[], bool]) -> None:
        for _ in range(MOST_TABS):
            if there():
                return
            self.page.keyboard.press("Tab")
        raise AssertionError("no key leads there")


class Signal(BadSignal):
    """Loses whatever is sent once, by turns before and after the workshop has it; the opening only before."""

    def __init__(self, onward: int) -> None:
        super().__init__(onward)
        self.marks: list[str] = []

    def lost_where(self, asked: bytes) -> str:
        """Each mark's first request."""
        mark = re.search(rb"key\W+([\w-]{8,})", asked.partition(b"\r\n\r\n")[2])
        if not asked.startswith(b"POST") or mark is None or mark[1].decode() in self.marks:
            return ""
        self.marks.append(mark[1].decode())
        return "on its way back" if len(self.marks) % 2 == 0 else "on its way there"


class Day:
    """One page after the other, each of which has to hold what was typed while the signal is gone."""

    def __init__(self, page: Page, hands: Taps, signal: Signal) -> None:
        self.page, self.hands, self.signal = page, hands, signal

    def go(self, step: str) -> None:
        """Open a step of the job by its link."""
        self.hands.press(self.page.locator(f'a[href$="/{step}/"]:visible').first)
        self.page.wait_for_url(re.compile(rf"/{step}/"))

    def send(self, button: str | re.Pattern[str], within: str = "main") -> None:
        """Press; the signal goes; all entries stand; try again, and it is in."""
        # What is reckoned beside a page (the days with their odds) brings fields of its own.
        expect(self.page.locator('[hx-trigger="load"]')).to_have_count(0)
        before, lost = self.page.evaluate(STANDS), len(self.signal.marks)
        exact = isinstance(button, str)
        self.hands.press(self.page.locator(within).get_by_role("button", name=button, exact=exact).first)
        again = self.page.get_by_role("button", name="try again", exact=True)
        expect(again).to_be_visible()
        assert len(self.signal.marks) == lost + 1
        assert self.page.evaluate(STANDS) == before
        self.hands.press(again)
        # The page that answers holds a form with a mark of its own, or none.
        gone = "mark => ![...document.querySelectorAll('input[name=key]')].some(one => one.value === mark)"
        self.page.wait_for_function(gone, arg=self.signal.marks[-1])
        expect(again).to_be_hidden()
        expect(self.page.locator("[data-refused]")).to_have_count(0)


@pytest.mark.parametrize(("size", "hand"), [("tablet", Keys), ("phone", Taps)])
def test_the_first_day_without_a_lost_keystroke(
    size: str, hand: type[Taps], browser: Browser, tmp_path: Path
) -> None:
    """Opened, checked in, asked, agreed, done, looked at twice, signed and handed over; every act is written once."""
    with empty_home(tmp_path) as address, standing(Signal(urlsplit(address).port or 0)) as signal:
        page = opened(browser, size, signal.address)
        page.goto(f"/open{address.partition('/open')[2]}")
        day = Day(page, hand(page), signal)
        open_the_shop(day)
        hang_the_tools(day)
        take_the_bike_in(day)
        ask_and_agree(day)
        do_the_work(day)
        tighten(day)
        sign_it_off(day)
        leave(day)
    with closing(sqlite3.connect(tmp_path / "home" / "bench.sqlite3")) as here:
        kinds = Counter(
            row[0] for row in here.execute("SELECT kind FROM records_event WHERE key NOT LIKE '%/%'")
        )
    once = (
        "workshop opened",
        "checked in",
        "proposed",
        "priced",
        "answered",
        "line done",
        "tool checked",
        "signed off",
        "handed over",
    )
    assert {kind: kinds[kind] for kind in once} == dict.fromkeys(once, 1)


def open_the_shop(day: Day) -> None:
    """One page; also the passphrase is there still."""
    page, hands = day.page, day.hands
    hands.press(page.get_by_role("link", name="open your own"))
    hands.write(page.get_by_label("name", exact=True), "Tollgate Bench")
    hands.write(page.get_by_label("labour an hour"), "54")
    hands.write(page.get_by_label("you", exact=True), "Rosa Tindle")
    hands.write(page.get_by_label("passphrase"), WORDS)
    day.send("open the workshop")
    expect(page.locator(".head-person")).to_contain_text("Rosa Tindle")


def hang_the_tools(day: Day) -> None:
    """What the shop has, ticked in one list; the certificate of the wrench for the axle nuts is written down."""
    page, hands = day.page, day.hands
    hands.press(page.locator('a[href="/tools/"]:visible').first)
    bare = page.locator('[aria-labelledby="bare"] input[name="table_ids"]')
    expect(bare.first).to_be_attached()
    for box in bare.all():
        hands.tick(box)
    day.send("add them")
    expect(page.locator('[aria-labelledby="torque"] li strong').first).to_be_visible()
    hands.press(page.get_by_role("link", name=re.compile("^check middle click wrench")))
    hands.write(page.get_by_label("or the worst deviation alone"), "3")
    day.send("save", "[data-keep=calibration]")
    expect(page.locator(".checked")).to_contain_text("Last check")


def take_the_bike_in(day: Day) -> None:
    """A track bike of somebody new."""
    page, hands = day.page, day.hands
    hands.press(page.locator('a[href^="/check-in/"]:visible').first)
    hands.press(page.locator('a[href*="template=track"]').first)
    hands.write(page.get_by_label("owner").first, "Ada Fenwick")
    hands.write(page.locator("#id_owner_words"), "Creaks; needed on Saturday.")
    day.send("check the bike in")
    expect(page.locator(".hang-tag").first).to_contain_text("Ada Fenwick")


def ask_and_agree(day: Day) -> None:
    """A front wheel to be trued, from the menu, asked by phone and agreed."""
    page, hands = day.page, day.hands
    day.go("findings")
    menu = page.get_by_label("from the menu")
    words = menu.locator('option[value="wheel-true"]').inner_text().strip()
    hands.pick(menu, words)
    hands.pick(page.get_by_label("front or rear"), "front")
    day.send("add to estimate", "#menu")
    day.go("estimate")
    day.send("ask the owner")
    hands.tick(page.get_by_role("radio", name="agreed").first)
    hands.pick(page.get_by_label("how they answered"), "by phone")
    day.send("save the answers")
    expect(page.locator(".sum-agreed")).to_be_visible()


def do_the_work(day: Day) -> None:
    """On the first stand, and done."""
    day.go("work")
    day.send("stand 1")
    day.send(re.compile(r": done$"))


def tighten(day: Day) -> None:
    """Every joint that the work opened, as its sheet says, one after the other."""
    page, hands = day.page, day.hands
    hands.press(page.locator('main a[href$="/work/torque/"]:visible').first)
    page.wait_for_url(re.compile("/work/torque/.+"))
    for _ in range(page.locator(".joint-strip li").count()):
        # What was done leads to the next that is open.
        day.send(re.compile("^done (at|by hand)"), "#joint")
    hands.press(page.get_by_role("link", name="all joints done: back to work"))
    page.wait_for_url(re.compile("/work/$"))


def sign_it_off(day: Day) -> None:
    """Nobody else is here: what needs two looks is looked at again after a break."""
    page, hands = day.page, day.hands
    day.go("sign-off")
    if page.get_by_role("button", name="whole bike as shown").count():
        day.send("whole bike as shown")
    for box in page.locator('[aria-labelledby="first"] input[name="item"]').all():
        hands.tick(box)
    if page.get_by_role("button", name="ticked: all right").count():
        day.send("ticked: all right")
    alone = page.locator("summary", has_text="I am alone")
    if alone.count():
        hands.press(alone)
        for box in page.locator('.second-mine input[name="item"]').all():
            hands.tick(box)
        day.send("checked again after a break: all right")
    day.send("sign off as Rosa Tindle")
    expect(page.locator(".page-head")).to_contain_text("signed off by Rosa Tindle")


def leave(day: Day) -> None:
    """Ada takes it."""
    page, hands = day.page, day.hands
    day.go("handover")
    read_out = page.locator('input[name="acknowledged"]')
    if read_out.count():
        hands.tick(read_out)
    # Left folded it is the owner; who takes it may be written all the same.
    hands.press(page.locator("summary", has_text="somebody else takes it"))
    hands.write(page.get_by_label("Who takes the bike"), "Ada Fenwick")
    day.send("hand over")
    expect(page.locator("#gone")).to_contain_text("Handed over")
