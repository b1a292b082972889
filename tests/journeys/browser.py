"""The browser of the journeys: which it is, how it is started, its two sizes, and how long a page may take."""

import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, ConsoleMessage, Page, Playwright, expect, sync_playwright

# Each has the pages; the first has no windows besides, and takes two thirds of the time of the others.
PROGRAMS = ("chromium-headless-shell", "chromium", "chromium-browser")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
]  # fmt: skip
SIZES = {"tablet": (1180, 820), "phone": (390, 844)}
# Every step waits for what it wants to see. This only ends a wait for what will never be there, so it is long: a busy machine
# is no fault of a page.
GIVE_UP_MS = 180_000


def program() -> str:
    """The browser that is installed here; nothing where none is."""
    return next(filter(None, map(shutil.which, PROGRAMS)), "")


@contextmanager
def playing() -> Iterator[Playwright]:
    """What drives browsers, gone when the block ends."""
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    expect.set_options(timeout=GIVE_UP_MS)
    with sync_playwright() as player:
        yield player


@contextmanager
def started(player: Playwright, program: str, more: Sequence[str] = ()) -> Iterator[Browser]:
    """The browser, with *more* flags, gone when the block ends."""
    browser = player.chromium.launch(executable_path=program, args=[*FLAGS, *more], timeout=GIVE_UP_MS)
    yield browser
    browser.close()


def opened(browser: Browser, size: str, address: str) -> Page:
    """A page of this size that can be tapped. Without signal is a journey of its own: here no page is read ahead."""
    width, height = SIZES[size]
    page = browser.new_page(
        viewport={"width": width, "height": height}, has_touch=True, base_url=address, service_workers="block"
    )
    page.set_default_timeout(GIVE_UP_MS)
    return page


def pictured(page: Page, name: str) -> None:
    """Keep a picture of the whole page where somebody named a folder for it: to draw one takes the browser seconds."""
    folder = os.environ.get("PINCHBOLT_PICTURES")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        # The caret is left alone: hiding it would need an inline style, which the content policy blocks.
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True, caret="initial")


def is_fault(line: ConsoleMessage) -> bool:
    """Whether a line of the browser's console is a fault of a page; that the journeys let no worker in is none."""
    return line.type in ("error", "warning") and "blocked by Playwright" not in line.text
