"""A spoke plucked before the tablet's own microphone: by https of the workshop's own authority, and heard as it sounded."""

import re
from collections.abc import Iterator

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, Playwright, expect

from tests.journeys.browser import GIVE_UP_MS, SIZES, is_fault, started
from tests.journeys.conftest import serving
from tests.journeys.wheel_taps import measure, open_rear_wheel
from tests.wheel_sounds import before_a_microphone

TONE, WITHIN = 391.0, 0.003
# A busy machine may open the microphone after the pluck: as at the stand, it is plucked again.
TRIES = 4


@pytest.fixture(scope="module")
def ears(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """What gives a browser a microphone before which one spoke is plucked."""
    sound = tmp_path_factory.mktemp("sound") / "pluck.wav"
    sound.write_bytes(before_a_microphone(np.random.default_rng(22), TONE))
    return ["--use-fake-device-for-media-stream", f"--use-file-for-fake-audio-capture={sound}"]


@pytest.fixture(scope="module")
def hearing(player: Playwright, chromium: str, ears: list[str]) -> Iterator[Browser]:
    """A browser whose microphone was allowed: one without windows has nobody who could be asked for it."""
    with started(player, chromium, [*ears, "--use-fake-ui-for-media-stream"]) as browser:
        yield browser


@pytest.fixture(scope="module")
def refusing(player: Playwright, chromium: str, ears: list[str]) -> Iterator[Browser]:
    """A browser whose microphone was not allowed."""
    with started(player, chromium, ears) as browser:
        yield browser


@pytest.fixture(scope="module")
def sealed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The bench book as tablets open it: by https, vouched for by the workshop's own authority."""
    with serving(tmp_path_factory.mktemp("sealed"), sealed=True) as server:
        yield server.address


def at_the_wheel(browser: Browser, address: str, *, secure: bool = True) -> Page:
    """A tablet at the measured rear wheel, the plucking open."""
    width, height = SIZES["tablet"]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        has_touch=True,
        base_url=address,
        service_workers="block",
        # The authority itself is held by tests/harm/test_sealed.py; here the browser only has to take https.
        ignore_https_errors=True,
    )
    page = context.new_page()
    page.set_default_timeout(GIVE_UP_MS)
    if not secure:
        page.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false })")
    open_rear_wheel(page)
    measure(page)
    page.locator("#pluck summary").click()
    return page


def test_a_spoke_is_heard_by_the_tablets_own_microphone(hearing: Browser, sealed: str) -> None:
    """One tap, one pluck: the pitch stands on the page within 0.3 %, and the next spoke is asked for."""
    page = at_the_wheel(hearing, sealed)
    faults: list[str] = []
    page.on("console", lambda line: faults.append(line.text) if is_fault(line) else None)
    assert page.evaluate("location.protocol") == "https:" and page.evaluate("window.isSecureContext")
    for _ in range(TRIES):
        expect(page.locator("[data-no-microphone]")).to_be_hidden()
        if not page.locator("[data-listen-button]").is_visible():
            page.locator("#pluck summary").click()
        page.get_by_role("button", name="listen: spoke 1").click()
        told = page.locator("#pluck summary, .refusal").filter(has_text=re.compile("1 of 32 heard|Not kept"))
        expect(told.first).to_be_visible()
        if "1 of 32 heard" in page.locator("#pluck summary").inner_text():
            break
    expect(page.locator("#pluck summary")).to_contain_text("1 of 32 heard")
    if not page.locator(".heard").is_visible():
        page.locator("#pluck summary").click()
    heard = re.search(r"1: ([\d.]+) Hz", page.locator(".heard").inner_text())
    assert heard and abs(float(heard[1]) / TONE - 1) < WITHIN
    expect(page.get_by_role("button", name="listen: spoke 2")).to_be_visible()
    assert not faults


def test_a_microphone_that_is_not_let_in_is_said(refusing: Browser, sealed: str) -> None:
    """Nothing is sent, and the page says what to do instead."""
    page = at_the_wheel(refusing, sealed)
    page.get_by_role("button", name="listen: spoke 1").click()
    expect(page.locator("[data-listen-said]")).to_contain_text("allow it for this page, or choose WAV files")
    expect(page.get_by_role("button", name="listen: spoke 1")).to_be_enabled()
    expect(page.locator("#pluck summary")).not_to_contain_text("heard")


def test_where_the_page_is_not_secure_files_are_asked_for(hearing: Browser, sealed: str) -> None:
    """No button that cannot work: the note says why, and WAV files stay."""
    page = at_the_wheel(hearing, sealed, secure=False)
    expect(page.locator("[data-listen-button]")).to_be_hidden()
    expect(page.locator("[data-no-microphone]")).to_be_visible()
    expect(page.locator("#sounds")).to_be_visible()
