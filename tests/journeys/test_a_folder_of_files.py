"""An owner who is here for the first time, with a folder of files: checked in, dropped, parts have use, the forecast uses it."""

import re
from datetime import timedelta
from pathlib import Path

from django.utils import timezone
from playwright.sync_api import Browser, expect

from tests.engines.rides.fit_writer import EPOCH, FILE_ID, SESSION, definition, fit_file, values
from tests.engines.rides.reference import SAMPLES
from tests.journeys.browser import opened
from tests.journeys.conftest import Server
from tests.journeys.people import NAMES, PASSPHRASE

RIDES, KM = 40, 50.0


def a_folder(folder: Path) -> Path:
    """Twenty weeks with two rides of 50 km each, the last one two days ago; a walk and a kayak lie among them."""
    folder.mkdir()
    for number in range(RIDES):
        day = timezone.now() - timedelta(days=2 + number * 3.5)
        start, long = int(day.timestamp()) - EPOCH, 2 * 3600 * 1000
        row = (start, start, long, long, round(KM * 100000), 2, 0, 400)
        data = fit_file(
            [
                definition(0, 0, FILE_ID),
                values(0, FILE_ID, (4, 255, 1, 77, start)),
                definition(2, 18, SESSION),
                values(2, SESSION, row),
            ]
        )
        (folder / f"{number:02d}.fit").write_bytes(data)
    for name in ("walk.fit", "kayak.fit"):
        (folder / name).write_bytes((SAMPLES / name).read_bytes())
    return folder


def test_a_newcomer_with_a_folder_of_files_leaves_with_a_forecast(
    server: Server, browser: Browser, tmp_path: Path
) -> None:
    """2,000 km in files of the time before: chain and rotor went them, and the chain's forecast says from what it knows that."""
    folder = a_folder(tmp_path / "export")
    page = opened(browser, "tablet", server.address)
    page.goto(f"{server.address}/")
    page.get_by_role("radio", name=NAMES["ines"]).check(force=True)
    page.get_by_label("passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name="sign in", exact=True).click()
    page.get_by_role("navigation", name="screens").get_by_role("link", name="check-in").click()
    page.locator("a.build", has_text="road").first.click()
    page.locator("#id_owner_name").fill("Wren Alder")
    page.locator("summary", has_text="Distance").click()
    page.get_by_role("radio", name="as long as the owner has it").check(force=True)
    page.get_by_role("button", name="check the bike in").click()
    page.wait_for_url(re.compile(r"/job/\d+/check-in/"))
    (job,) = re.findall(r"/job/(\d+)/", page.url)
    tag = re.search(r"[A-Z]{2}-\d+", page.locator(".hang-tag").first.inner_text())
    assert tag is not None

    page.goto(f"{server.address}/bike/{tag[0]}/")
    page.locator("#ride-folder").set_input_files(folder)
    page.get_by_role("button", name="add the rides").click()
    report = page.locator(".rides-report")
    expect(report).to_contain_text("40 rides came in")
    expect(report).to_contain_text("2,000.0")
    expect(report).to_contain_text("it is no ride but walking")
    expect(report).to_contain_text("it is no ride but kayaking")

    page.goto(f"{server.address}/bike/{tag[0]}/")
    for kind in ("chain", "front rotor"):
        parts = page.locator("li.part, li.part-rest").filter(has_text=re.compile(rf"^\s*{kind}\b"))
        expect(parts.first).to_contain_text("2,000 km")

    page.goto(f"{server.address}/job/{job}/walk-round/chain/")
    chain = page.locator("article.reading", has_text="chain wear")
    chain.get_by_role("button", name="drops in at 0.5, not at 0.75").click()
    expect(chain.locator(".reading-said")).to_contain_text("between 0.5 and 0.75 %")
    page.goto(f"{server.address}/job/{job}/findings/")
    found = page.locator("article.finding", has_text="chain wear")
    expect(found.locator(".ahead")).to_contain_text(re.compile(r"likely [\d,]+ to [\d,]+ km"))
    found.locator("summary", has_text="why").first.click()
    expect(found.locator(".reasons")).to_contain_text("2,000 km")
