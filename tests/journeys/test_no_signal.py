"""A cellar without signal, in a real browser: what is done there is kept through a power cut, sent later, once, and in order."""

import sqlite3
from contextlib import closing
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, Playwright, expect

from tests.journeys.bad_signal import BadSignal, bad_signal
from tests.journeys.conftest import Server
from tests.journeys.front_door import say_who, sign_in, take_in
from tests.journeys.tablet import Tablet, tablet

FOUND = "[...await (await caches.open('pages')).keys()].some(one => one.url.endsWith({!r}))"


def kept(page: Page, address: str) -> None:
    """Wait until the worker stands before the page and the tablet holds a copy of it."""
    page.wait_for_function("() => navigator.serviceWorker.controller !== null", timeout=90_000)
    page.wait_for_function(f"async () => {FOUND.format(address)}", timeout=90_000)


def note(page: Page, words: str) -> None:
    """Write down what else was found, on the page that is open."""
    page.locator("#else summary").click()
    page.locator("#found-words").fill(words)
    page.locator("#else input[name=verdict]").nth(1).check(force=True)
    page.locator("#else button[type=submit]").click()
    # The page comes anew, with what waits on it and an empty form.
    expect(page.locator("#found-words")).to_have_value("")


def waiting(page: Page) -> list[dict[str, object]]:
    """What lies in the box, without its fields."""
    found: list[dict[str, object]] = page.evaluate(
        "async () => (await self.unsent.all()).map(one => ({kind: one.kind, state: one.state, job: one.job, shown: one.shown}))"
    )
    return found


def written(home: Path, kind: str, job: str) -> list[str]:
    """What the book says of the acts of a kind on a job, in its order."""
    with closing(sqlite3.connect(home / "bench.sqlite3")) as book:
        rows = book.execute(
            "SELECT json_extract(said, '$.words') FROM records_event WHERE kind = ? AND job_id = ? ORDER BY id",
            (kind, job),
        ).fetchall()
    return [str(row[0]) for row in rows]


def sign_out(home: Path) -> None:
    """End every session, as the page of tablets does."""
    with closing(sqlite3.connect(home / "bench.sqlite3", timeout=30)) as book:
        book.execute("DELETE FROM django_session")
        book.commit()


ALL_IN = "all that was done on this tablet is in the book"


def test_what_is_done_in_the_cellar_reaches_the_book_once(
    server: Server, player: Playwright, chromium: str, tmp_path: Path
) -> None:
    """Signal gone, two findings and a photo, power cut, refused in between, signal back: all of it, once, in order, said plainly."""
    home, port = server.home, int(server.address.rpartition(":")[2])
    Image.new("RGB", (60, 40), "grey").save(tmp_path / "crack.jpg")
    with (
        bad_signal(port) as door,
        tablet(player, chromium, tmp_path / "profile") as bench,
    ):
        page = bench.switch_on()
        page.goto(door.address)
        sign_in(page, address=door.address)
        job = take_in(page, address=door.address)
        kept_through_a_power_cut(bench, door, job, tmp_path / "crack.jpg")
        assert written(home, "found", job) == []
        # Meanwhile somebody has signed this tablet out: what waits on it is asked for by name first.
        sign_out(home)
        door.open()
        bench.page.locator("[data-send-now]").click()
        bench.page.locator("[data-unsent-sign-in]").click()
        say_who(bench.page)
        expect(bench.page.locator("[data-unsent-list]")).to_contain_text(ALL_IN)
        assert written(home, "found", job) == ["Creaks at the rotor", "Hose rubs the crown"]
        assert len(written(home, "photo taken", job)) == 1
        refused_holds_its_job(bench.page, door, job)
        assert written(home, "found", job)[2:] == ["Lever comes to the bar"]
        what_needs_the_computer_says_so(bench.page, door, job)


def test_what_is_left_out_stays_out_and_a_full_tablet_still_sends(
    server: Server, player: Playwright, chromium: str, tmp_path: Path
) -> None:
    """Left out while the box is being sent, it is not sent after all; where the box takes nothing, an act goes by the signal there is."""
    home, port = server.home, int(server.address.rpartition(":")[2])
    with (
        bad_signal(port) as door,
        tablet(player, chromium, tmp_path / "profile") as bench,
    ):
        page = bench.switch_on()
        page.goto(door.address)
        sign_in(page, address=door.address)
        job = take_in(page, address=door.address)
        page.goto(f"{door.address}/job/{job}/walk-round/front-brake/")
        kept(page, f"/job/{job}/walk-round/front-brake/")
        door.shut()
        page.reload()
        for words in ("Creaks at the rotor", "Hose rubs the crown", "Pads are glazed"):
            note(page, words)
        page.goto(f"{door.address}/unsent/")
        items = page.locator("[data-unsent-list] > li")
        expect(items).to_have_count(3)
        door.hold()
        door.open()
        page.locator("[data-send-now]").click()
        door.until_one_stands()
        items.nth(1).get_by_text("leave it out", exact=True).click()
        items.nth(1).get_by_role("button", name="yes, leave it out").click()
        expect(items).to_have_count(2)
        door.let_on()
        expect(page.locator("[data-unsent-list]")).to_contain_text(ALL_IN)
        assert written(home, "found", job) == ["Creaks at the rotor", "Pads are glazed"]
        a_full_tablet_still_sends(page, door, home, job)


def a_full_tablet_still_sends(page: Page, door: BadSignal, home: Path, job: str) -> None:
    """A box of another age can't be opened by the worker, as one on a full disk can't be written."""
    page.evaluate(
        "() => new Promise(done => { indexedDB.open('pinchbolt', 2).onsuccess = event => { event.target.result.close(); done(); }; })"
    )
    page.goto(f"{door.address}/job/{job}/walk-round/front-brake/")
    note(page, "Lever comes to the bar")
    assert written(home, "found", job)[2:] == ["Lever comes to the bar"]


def kept_through_a_power_cut(bench: Tablet, door: BadSignal, job: str, photo: Path) -> None:
    """Two findings and a photo without signal, then the power goes: all three wait, and the page of then says so."""
    page = bench.page
    for name in ("photos", "walk-round/front-brake"):
        page.goto(f"{door.address}/job/{job}/{name}/")
        kept(page, f"/job/{job}/{name}/")
    door.shut()
    page.reload()
    expect(page.locator("[data-as-of]")).to_contain_text("No signal")
    note(page, "Creaks at the rotor")
    expect(page.locator("[data-unsent]")).to_contain_text("1 entry is on this tablet")
    expect(page.locator("[data-waits-here]").first).to_contain_text("Creaks at the rotor")
    note(page, "Hose rubs the crown")
    page.goto(f"{door.address}/job/{job}/photos/")
    page.locator("input[type=file]").set_input_files(photo)
    page.get_by_role("button", name="save").click()
    expect(page.locator("[data-unsent]")).to_contain_text("3 entries are on this tablet")
    bench.lose_power()
    bench.switch_on().goto(f"{door.address}/unsent/")
    expect(bench.page.locator("[data-unsent-list] > li")).to_have_count(3)


def refused_holds_its_job(page: Page, door: BadSignal, job: str) -> None:
    """One that the workshop refuses is laid aside with its reason, and holds what follows on its job until it is left out."""
    page.goto(f"{door.address}/job/{job}/walk-round/front-brake/")
    door.shut()
    page.reload()
    note(page, " ")
    expect(page.locator("[data-unsent]")).to_contain_text("1 entry is on this tablet")
    note(page, "Lever comes to the bar")
    expect(page.locator("[data-unsent]")).to_contain_text("2 entries are on this tablet")
    door.open()
    page.goto(f"{door.address}/unsent/")
    page.locator("[data-send-now]").click()
    items = page.locator("[data-unsent-list] > li")
    expect(items.nth(0)).to_contain_text("Not taken:")
    expect(items.nth(1)).to_contain_text("Waits behind the one that was not taken")
    assert [one["state"] for one in waiting(page)] == ["refused", "waits"]
    items.nth(0).get_by_text("leave it out", exact=True).click()
    items.nth(0).get_by_role("button", name="yes, leave it out").click()
    expect(page.locator("[data-unsent-list]")).to_contain_text(ALL_IN)


def what_needs_the_computer_says_so(page: Page, door: BadSignal, job: str) -> None:
    """A limit is not kept for later: the page stays and says that nothing was saved, with what was typed."""
    page.goto(f"{door.address}/job/{job}/came-up/limit/")
    kept(page, f"/job/{job}/came-up/limit/")
    door.shut()
    typed = page.locator("main form input[type=text], main form input[type=number]").first
    typed.fill("80")
    page.locator("main form button[type=submit]").last.click()
    expect(page.locator("[data-signal]")).to_be_visible()
    expect(typed).to_have_value("80")
