"""A tablet that can lose its power: a browser of its own with a profile on the disk, ended at any moment and started again."""

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from playwright.sync_api import Page, Playwright

from tests.journeys.browser import FLAGS

PATIENCE_S = 90.0


class Tablet:
    """A browser whose profile outlives it. `page` is there once it is switched on."""

    def __init__(self, player: Playwright, program: str, profile: Path) -> None:
        self._player, self._program, self._profile = player, program, profile
        self._process: subprocess.Popen[bytes] | None = None
        self.page: Page

    def switch_on(self) -> Page:
        """Start the browser and take its page."""
        told = self._profile / "DevToolsActivePort"
        told.unlink(missing_ok=True)
        words = [
            self._program,
            *FLAGS,
            "--headless=new",
            "--remote-debugging-port=0",
            f"--user-data-dir={self._profile}",
        ]
        self._process = subprocess.Popen(
            [*words, "about:blank"],
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until = time.monotonic() + PATIENCE_S
        while not (told.exists() and told.read_text().count("\n")):
            if time.monotonic() > until or self._process.poll() is not None:
                raise RuntimeError("the browser did not start")
            time.sleep(0.05)
        browser = self._player.chromium.connect_over_cdp(f"http://127.0.0.1:{told.read_text().split()[0]}")
        context = browser.contexts[0]
        context.set_default_timeout(PATIENCE_S * 1000)
        self.page = context.pages[0] if context.pages else context.new_page()
        return self.page

    def lose_power(self) -> None:
        """End it and all that it started, at once: nothing is written in an orderly way."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait(30)
            self._process = None
        # A browser that was ended so leaves its lock behind; the next one would take itself for a second.
        for one in self._profile.glob("Singleton*"):
            one.unlink(missing_ok=True)


@contextmanager
def tablet(player: Playwright, program: str, profile: Path) -> Iterator[Tablet]:
    """A tablet, switched off and without its profile at the end."""
    profile.mkdir(parents=True, exist_ok=True)
    found = Tablet(player, program, profile)
    try:
        yield found
    finally:
        found.lose_power()
        shutil.rmtree(profile, ignore_errors=True)
