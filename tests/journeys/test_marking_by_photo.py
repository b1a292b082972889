"""A marking read off a photo: framed, offered, taken by one tap, governs the sheet, printed, exported, gone with its owner."""

import re
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Browser, FilePayload, Page, expect

from tests.journeys.browser import SIZES, is_fault, opened, pictured
from tests.journeys.conftest import Server, serving
from tests.journeys.faked_eye import PRINTED
from tests.journeys.front_door import sign_in, take_in
from tests.journeys.people import PASSPHRASE


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A small workshop whose text reader sees what is printed."""
    with serving(tmp_path_factory.mktemp("with-an-eye"), first="faked_eye") as found:
        yield found


def photo() -> FilePayload:
    """Grey on black, as large as a tablet's camera takes it."""
    picture = Image.new("L", (1600, 1200), 28)
    ImageDraw.Draw(picture).text((560, 560), PRINTED, fill=70, font_size=90)
    into = BytesIO()
    picture.convert("RGB").save(into, "JPEG", quality=90)
    return {"name": "stem.jpg", "mimeType": "image/jpeg", "buffer": into.getvalue()}


def check_in(page: Page) -> str:
    """A gravel bike comes, and the stem's joint is put on its torque sheet; the job's number."""
    job = take_in(page)
    page.goto(f"/job/{job}/work/torque/")
    page.locator("#add-joint").select_option("stem-face-4-carbon")
    page.get_by_role("button", name="add it", exact=True).click()
    expect(page.locator(".set-figure")).to_be_visible()
    return job


def frame(page: Page, size: str) -> None:
    """Two corners of the marking: by a mouse, and on the phone by two fingers."""
    canvas = page.locator("[data-eye-photo]")
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    assert box is not None
    (x, y, wide, high) = (box["x"], box["y"], box["width"], box["height"])
    corners = ((x + 0.3 * wide, y + 0.4 * high), (x + 0.75 * wide, y + 0.6 * high))
    if size == "tablet":
        page.mouse.move(*corners[0])
        page.mouse.down()
        page.mouse.move(*corners[1], steps=4)
        page.mouse.up()
    else:
        for kind in ("pointerdown", "pointermove"):
            for number, (left, top) in enumerate(corners, 1):
                told = {"pointerId": number, "pointerType": "touch", "clientX": left, "clientY": top}
                canvas.dispatch_event(kind, told)
        for number in (1, 2):
            canvas.dispatch_event("pointerup", {"pointerId": number, "pointerType": "touch"})
    expect(page.locator("[data-eye-how]")).to_contain_text("times as large")


def is_clearer(page: Page) -> bool:
    """Whether light and dark of the marking lie at least twice as far apart as on the photo."""
    apart = """one => { const c = document.querySelector(one), w = c.width, h = c.height;
        const d = c.getContext("2d").getImageData(w / 5, h / 5, 3 * w / 5, 3 * h / 5).data;
        let low = 255, high = 0; for (let i = 0; i < d.length; i += 4) { low = Math.min(low, d[i]); high = Math.max(high, d[i]); }
        return high - low; }"""
    photo, clear = (int(page.evaluate(apart, f"[data-eye-{one}]")) for one in ("photo", "clear"))
    return 0 < 2 * photo < clear


@pytest.mark.parametrize("size", list(SIZES))
def test_a_marking_is_read_confirmed_and_governs(
    shop: Server, browser: Browser, tmp_path: Path, size: str
) -> None:
    """Without a tap nothing changes; with one the sheet is set by it, on screen and on paper, with the photo beside it."""
    faults: list[str] = []
    page = opened(browser, size, shop.address)
    page.on("console", lambda line: faults.append(line.text) if is_fault(line) else None)
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    sign_in(page, "ines")
    job = check_in(page)
    before = page.locator(".window-words").inner_text()
    page.get_by_role("link", name="photo: stem").click()
    page.set_input_files("#photo", photo())
    expect(page.locator("[data-eye-state=drawn]")).to_be_attached()
    assert is_clearer(page)
    frame(page, size)
    pictured(page, f"marking-photo-{size}")
    page.get_by_role("button", name="read the framed part for me").click()
    offer = page.get_by_role("button", name="take MAX 5 N·m")
    expect(offer).to_be_visible()
    expect(page.locator("[data-candidates] img").first).to_be_visible()
    pictured(page, f"marking-offered-{size}")
    # Read, and not confirmed: the sheet is as it was.
    other = opened(browser, size, shop.address)
    other.context.add_cookies(page.context.cookies())
    other.goto(f"/job/{job}/work/torque/stem-face-4-carbon/")
    assert other.locator(".window-words").inner_text() == before
    offer.click()
    expect(page.locator(".marking-list")).to_contain_text("stem marked 5 N·m max, photo")
    expect(page.locator(".joint-window .why").first).to_contain_text("Highest: the stem's marking.")
    assert page.locator(".proof-photo").evaluate("one => one.naturalWidth") > 0
    pictured(page, f"marking-governs-{size}")
    printed = page.request.get(f"/paper/job/{job}/torque-sheet.pdf").body()
    assert "stem marked 5 N·m max, photo" in " ".join(
        pypdf.PdfReader(BytesIO(printed)).pages[0].extract_text().split()
    )
    sign_in(page, "marnie")
    page.goto("/keeping/")
    assert proofs_in(page, tmp_path) == 1
    hand_back_and_erase(page, job)
    assert proofs_in(page, tmp_path) == 0
    assert faults == []


def proofs_in(page: Page, folder: Path) -> int:
    """How many photos of proofs lie in everything that is written out."""
    page.goto("/keeping/")
    with page.expect_download() as got:
        page.get_by_role("button", name=re.compile("everything")).first.click()
    place = folder / "everything.zip"
    got.value.save_as(place)
    with zipfile.ZipFile(place) as packed:
        return sum(name.startswith("proof-photos/") for name in packed.namelist())


def hand_back_and_erase(page: Page, job: str) -> None:
    """The job is called off, the owner erased by the owner of the workshop."""
    page.goto(f"/job/{job}/came-up/call-off/")
    page.get_by_role("radio").first.check(force=True)
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.get_by_role("button", name="call it off").click()
    page.goto(f"/job/{job}/check-in/")
    tag = re.search(r"PB-\d+", page.locator(".hang-tag").first.inner_text())
    assert tag is not None
    page.goto(f"/bike/{tag[0]}/")
    owner = page.locator('a[href^="/owner/"]').first.get_attribute("href")
    page.goto(f"{owner}erase/")
    page.get_by_label(re.compile("passphrase")).fill(PASSPHRASE)
    with page.expect_response(lambda answer: answer.request.method == "POST") as told:
        page.get_by_role("button", name=re.compile("^erase ")).click()
    assert told.value.status < 400
    page.goto(f"{owner}")
    expect(page.locator("main")).to_contain_text("erased")
