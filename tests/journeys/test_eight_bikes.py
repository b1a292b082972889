"""Eight bikes are built from nothing on the screens, and each gets exactly the sign-off items that a mechanic asks.

Parts, facts and items were written down beforehand: tests/workshop/signoff_of_bikes.toml. One bike is built by taps
alone on a tablet and one on a phone; the others go through the same forms, which the page fetches, fills and sends.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, Page, expect

from pinchbolt.reference.rows.condition import word_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.build_offers import corner_of
from tests.journeys.browser import is_fault, opened
from tests.journeys.conftest import Server
from tests.journeys.front_door import sign_in
from tests.journeys.people import new_owner

TOLD = tomllib.loads(
    (Path(__file__).parents[1] / "workshop" / "signoff_of_bikes.toml").read_text(encoding="utf-8")
)
BIKES: dict[str, dict[str, Any]] = {bike["id"]: bike for bike in TOLD["bike"]}
BY_TAPS, ON_THE_PHONE = "child's coaster bike", "fixed track bike"
# What a page does by itself: fetch a form, fill it in where it has such a field and answer, and send it. What was done leads on: whither,
# the taps look.
FILL_AND_SEND = """async ([address, entries]) => {
  const page = new DOMParser().parseFromString(await (await fetch(address)).text(), "text/html");
  const form = page.querySelector("form[data-keep]");
  const data = new FormData(form);
  for (const [name, value] of Object.entries(entries)) {
    const fields = [...form.querySelectorAll(`[name="${name}"]`)];
    const radios = fields.filter((one) => one.type === "radio");
    if (!fields.length || (radios.length && !radios.some((one) => one.value === value))) {
      return `${address} does not offer ${name} = ${value}`;
    }
    data.set(name, value);
  }
  const answer = await fetch(form.getAttribute("action"), {method: "POST", body: new URLSearchParams(data), redirect: "manual"});
  return answer.type === "opaqueredirect" ? "" : `${address}: ${answer.status}`;
}"""


@pytest.fixture
def said() -> Iterator[list[str]]:
    """What the browser's console says as an error ends the test."""
    found: list[str] = []
    yield found
    assert not found, found


def signed_in(browser: Browser, server: Server, size: str, said: list[str]) -> Page:
    """A page of this size on which Ines is signed in."""
    page = opened(browser, size, server.address)
    page.on("console", lambda line: said.append(line.text) if is_fault(line) else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    sign_in(page)
    return page


@pytest.mark.parametrize("name", [name for name in BIKES if name != ON_THE_PHONE])
def test_a_bike_from_nothing_gets_the_items_that_a_mechanic_asks(
    name: str, browser: Browser, server: Server, said: list[str]
) -> None:
    """On a tablet: check-in, build sheet, whole bike as shown, and the list is that of the table."""
    page = signed_in(browser, server, "tablet", said)
    asked = goes_through(page, name, by_taps=name == BY_TAPS)
    assert asked == asked_by_a_mechanic(name)


def test_a_bike_is_built_on_a_phone(browser: Browser, server: Server, said: list[str]) -> None:
    """The last of them by taps on a small screen, where no page is wider than it."""
    page = signed_in(browser, server, "phone", said)
    asked = goes_through(page, ON_THE_PHONE, by_taps=True)
    assert asked == asked_by_a_mechanic(ON_THE_PHONE)


def goes_through(page: Page, name: str, *, by_taps: bool) -> set[str]:
    """From the door to the list: the ids of its items."""
    bike = BIKES[name]
    job, tag = begin(page, bike["kind"])
    frame, *parts = sorted(bike["part"], key=lambda part: part["kind"] != "frame")
    describe_frame(page, frame["facts"])
    if by_taps:
        add_by_taps(page, parts)
    else:
        add_by_forms(page, tag, parts)
    look_at_it(page, tag, len(parts))
    agree_to_a_look_over(page, job)
    page.goto(f"/job/{job}/sign-off/")
    return {str(box.get_attribute("value")) for box in page.locator('input[name="item"]').all()}


def agree_to_a_look_over(page: Page, job: str) -> None:
    """The owner wants the whole bike looked over: the list is that of the whole bike then, and not of some work on it."""
    page.goto(f"/job/{job}/findings/")
    page.get_by_label("from the menu").select_option("crash-look")
    with page.expect_response(lambda told: told.request.method == "POST"):
        page.locator("#menu").get_by_role("button", name="add to estimate").click()
    page.goto(f"/job/{job}/estimate/")
    page.get_by_role("button", name="ask the owner", exact=True).click()
    page.get_by_role("radio", name="agreed").first.check(force=True)
    page.get_by_role("button", name="save the answers", exact=True).click()
    expect(page.locator(".sum-agreed")).to_be_visible()


def asked_by_a_mechanic(name: str) -> set[str]:
    """What was written down beforehand."""
    return {*TOLD["always"], *BIKES[name]["asks"]}


def begin(page: Page, kind: str) -> tuple[str, str]:
    """A new owner's bike of this kind, with its frame alone; the build sheet is the next tap."""
    page.get_by_role("navigation", name="screens").get_by_role("link", name="check-in").click()
    page.get_by_role("link", name=tables().bike_kinds[kind].words, exact=True).click()
    page.get_by_label("owner's name").fill(new_owner())
    page.get_by_role("button", name="check the bike in").click()
    page.wait_for_url(re.compile(r"/job/\d+/check-in/"))
    job = re.findall(r"/job/(\d+)/", page.url)[0]
    page.get_by_role("link", name="build sheet: add its parts").click()
    page.wait_for_url(re.compile(r"/bike/PB-\d+/build/"))
    expect(page.locator(".sheet-part")).to_have_count(2)
    return job, re.findall(r"/bike/(PB-\d+)/", page.url)[0]


def describe_frame(page: Page, facts: Mapping[str, Any]) -> None:
    """What the frame is made of, read off it."""
    page.get_by_role("link", name="describe frame", exact=True).click()
    answer(page, facts)
    page.get_by_role("button", name="save").click()
    expect(page.locator(".sheet-part", has=page.get_by_text("frame", exact=True))).to_contain_text(
        "read off the part"
    )


def place_of(part: Mapping[str, Any]) -> str:
    """The corner at which a part is."""
    return corner_of(tables().kinds[part["kind"]], part.get("end", ""))


def words_of(part: Mapping[str, Any]) -> str:
    """What the screens call it."""
    return f"{part.get('end', '')} {tables().kinds[part['kind']].words}".strip()


def add_by_taps(page: Page, parts: list[dict[str, Any]]) -> None:
    """Corner by corner, as the page leads; one that has the same at its other end is added by one tap."""
    waiting = list(parts)
    corners = list(tables().corners.values())
    page.get_by_role("link", name=f"add a part: {corners[0].words}").click()
    for corner, following in zip(corners, [*corners[1:], None], strict=True):
        expect(page.get_by_role("heading", level=1)).to_have_text(f"Add a part: {corner.words}")
        while here := [part for part in waiting if place_of(part) == corner.id]:
            put_on(page, here[0])
            waiting.remove(here[0])
        if following is not None:
            page.get_by_role("link", name=f"next: {following.words}", exact=True).click()
    assert not waiting
    page.locator(".page-head").get_by_role("link", name="build sheet").click()


def put_on(page: Page, part: dict[str, Any]) -> None:
    """Tap the kind, its answers, and put it on the sheet."""
    end = part.get("end", "")
    kind = tables().kinds[part["kind"]]
    offered = end if kind.ends == "each" else ""
    page.locator(".add-here").get_by_role("link", name=f"{kind.words} {offered}".strip(), exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"Add: {kind.words}")
    if kind.ends == "any":
        page.locator(f'input[name="end"][value="{end}"]').check(force=True)
    answer(page, part.get("facts", {}))
    page.get_by_role("button", name="put it on the build sheet").click()
    expect(page.locator("#added")).to_contain_text(f"{words_of(part)} is on the build sheet")
    wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wide) <= 0


def answer(page: Page, facts: Mapping[str, Any]) -> None:
    """Tap the answers; what nothing turns on is unfolded first."""
    for fact, value in facts.items():
        question = page.locator(f"#ask-{fact}")
        if not question.is_visible():
            page.locator(".more-questions > summary").click()
        question.locator(f'input[type="radio"][value="{word_of(value)}"]').check(force=True)


def add_by_forms(page: Page, tag: str, parts: list[dict[str, Any]]) -> None:
    """The same forms, fetched, filled and sent by the page."""
    for part in parts:
        end, facts = part.get("end", ""), part.get("facts", {})
        asked = {"kind": part["kind"], "corner": place_of(part), **({"end": end} if end else {})}
        entries = {"end": end, **{f"f-{fact}": word_of(value) for fact, value in facts.items()}}
        refused = page.evaluate(FILL_AND_SEND, [f"/bike/{tag}/build/add/?{urlencode(asked)}", entries])
        assert not refused, refused
    page.goto(f"/bike/{tag}/build/")


def look_at_it(page: Page, tag: str, added: int) -> None:
    """All parts are on the sheet, as many as were added besides frame and safety bolts; one tap confirms the whole bike."""
    expect(page.locator(".sheet-part")).to_have_count(added + 2)
    page.get_by_role("button", name="whole bike as shown").click()
    page.wait_for_url(re.compile(rf"/bike/{tag}/build/\?at=top"))
    expect(page.locator(".sheet-part .not-looked")).to_have_count(0)
