"""A whole day of a two-person shop: seven bikes promised with odds, one grows, a part comes wrong, an owner does not answer, a drop-in,
the evening. The counter and the day's page in a real browser; what a browser adds nothing to goes through the JSON door."""

import json
import re
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.error import HTTPError

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.journeys.browser import opened
from tests.journeys.conftest import Server, serving
from tests.journeys.front_door import sign_in
from tests.journeys.people import PASSPHRASE

WORK = ("chain", "bleed", "rotor-true", "safety-check", "wheel-true", "tyre-tube")
AT_ONE_END = ("bleed", "rotor-true", "wheel-true", "tyre-tube")


# Of `came_before`.
COMES_BACK = "Cora Wintle"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    """A small workshop to which a bike of last month is to come back next week."""
    with serving(tmp_path, before="came_before") as found:
        yield found


class Door:
    """The JSON door of the running server, each act under a mark of its own."""

    def __init__(self, address: str) -> None:
        self.address, self.marks, self.token = address, 0, ""
        self.token = self.ask("POST", "/sign-in", {"name": "ines", "passphrase": PASSPHRASE})["token"]

    def ask(self, method: str, path: str, body: object = None) -> Any:
        """One request; its JSON."""
        self.marks += 1
        headers = {"Content-Type": "application/json", "Idempotency-Key": f"whole-day-{self.marks:04d}"}
        if self.token:
            headers["Authorization"] = f"Bearer {self.token}"
        data = None if body is None else json.dumps(body).encode()
        sent = urllib.request.Request(f"{self.address}/api{path}", data, headers, method=method)
        try:
            with urllib.request.urlopen(sent, timeout=120) as answer:
                return json.loads(answer.read())
        except HTTPError as refused:
            raise AssertionError(
                f"{method} {path} {body}: {refused.code} {refused.read().decode()}"
            ) from None

    def take_in(self, number: int, size: str) -> int:
        """A bike, promised for the first day at the shop's odds."""
        best = self.ask("GET", f"/days?size={size}")["best"]
        told = {
            "template": "road-disc",
            "owner_name": f"Owner {number}",
            "owner_phone": f"0163296010{number}",
            "another_person": True,
        }
        promised = {"promise": best["at"], "promise_odds": best["odds"]} if best else {}
        return int(self.ask("POST", "/check-in", {**told, **promised})["job"])

    def agreed(self, job: int, *operations: str) -> None:
        """Lines, asked and agreed by phone."""
        lines = [self.line(job, one) for one in operations]
        self.ask("POST", f"/job/{job}/ask", {})
        self.ask(
            "POST", f"/job/{job}/answer", {"answers": dict.fromkeys(map(str, lines), True), "how": "by phone"}
        )

    def line(self, job: int, operation: str) -> int:
        """One line, at the rear where it is work on one end."""
        body: dict[str, object] = {"operation": operation}
        if operation in AT_ONE_END:
            body["place"] = "rear"
        return int(self.ask("POST", f"/job/{job}/line", body)["line"])


def taken_in_at_the_counter(page: Page) -> int:
    """While the owner talks: small work is tapped, the days come, the first is tapped, the bike is in."""
    page.goto("/check-in/?template=gravel-1x")
    page.get_by_label("owner").first.fill("Ada Merrow")
    expect(page.locator("#days-told .days-three")).to_be_visible()
    page.get_by_role("button", name="small work").click()
    expect(page.get_by_role("button", name="small work")).to_have_attribute("aria-pressed", "true")
    first = page.locator("#days-told input[name=promise_day]").first
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d 0\.\d{3}|.* 1\.000", first.get_attribute("value") or "")
    first.check(force=True)
    page.get_by_role("button", name="check the bike in", exact=True).click()
    page.wait_for_url(re.compile(r"/job/\d+/check-in/"))
    return int(re.findall(r"/job/(\d+)/", page.url)[0])


def part_came_wrong(page: Page, job: int) -> None:
    """Wanted, ordered for next week, it comes, and it is not what was ordered."""
    page.goto(f"/job/{job}/parts/")
    page.get_by_role("button", name=re.compile("order it")).first.click()
    page.locator("summary", has_text="ordered").first.click()
    page.get_by_label("from whom").first.fill("Northern Spares")
    # The browser's own day is the server's: what is expected lies ahead of it whenever this runs.
    ahead = page.evaluate("new Date(Date.now() + 9 * 86400000).toISOString().slice(0, 10)")
    page.get_by_label("expected").first.fill(ahead)
    page.get_by_role("button", name="ordered", exact=True).first.click()
    expect(page.get_by_text("Northern Spares").first).to_be_visible()
    page.goto("/day/")
    expect(page.locator("#to-call")).to_be_visible()
    expect(page.get_by_text("Ring Northern Spares").first).to_be_visible()
    page.goto(f"/job/{job}/parts/")
    page.get_by_role("button", name=re.compile("^arrived")).first.click()
    page.locator("summary", has_text="wrong").first.click()
    page.get_by_role("radio", name="not what we ordered").check(force=True)
    page.get_by_role("button", name="wrong", exact=True).first.click()
    # What is tapped stands in the row before it is sent; behind the part it stands once the book has it.
    expect(page.locator(".part-row-wanted .note", has_text="not what we ordered").first).to_be_visible()


def test_a_day_of_seven_bikes_goes_through_the_book(server: Server, browser: Browser) -> None:
    """From the first check-in to the evening: every promise has its odds, what goes wrong is listed with the one call, nothing is lost."""
    door = Door(server.address)
    page = opened(browser, "tablet", server.address)
    sign_in(page)
    jobs = [taken_in_at_the_counter(page)]
    jobs += [door.take_in(number, ("small", "usual", "big")[number % 3]) for number in range(1, 7)]
    assert len(set(jobs)) == 7
    told = {one["job"]: one for one in door.ask("GET", "/promises")}
    assert set(told) == set(jobs) and all(one["told"] >= 0.5 for one in told.values())
    # Work is agreed, and two people begin.
    for job, work in zip(jobs[1:], WORK, strict=True):
        if job != jobs[6]:
            door.agreed(job, work)
    for stand, job in enumerate(jobs[1:3], start=1):
        door.ask("POST", f"/job/{job}/start", {"stand": stand})
    # One grows: more is found on the stand.
    door.line(jobs[2], "bottom-bracket")
    grown = next(one for one in door.ask("GET", "/promises") if one["job"] == jobs[2])
    assert "work was added" in grown["has_grown"]
    # One owner is asked and does not answer.
    door.line(jobs[6], "safety-check")
    door.ask("POST", f"/job/{jobs[6]}/ask", {})
    door.ask("POST", f"/job/{jobs[6]}/tried", {"how": "phone"})
    # One part comes wrong.
    door.agreed(jobs[0], "chain")
    part_came_wrong(page, jobs[0])
    # The day on the board says all of it; the promise that can't be held is given anew, with its odds.
    page.goto("/day/")
    expect(
        page.get_by_role("region", name="Waiting for the owner").get_by_text("Owner 6").first
    ).to_be_visible()
    expect(
        page.get_by_role("region", name="Waiting for a part").get_by_text("Ada Merrow").first
    ).to_be_visible()
    page.goto(f"/job/{jobs[2]}/came-up/promise/")
    page.locator("input[name=with_odds]").first.check(force=True)
    page.get_by_role("radio", name="more work").check(force=True)
    page.get_by_role("radio", name="by phone").check(force=True)
    page.get_by_role("button", name="promise it").click()
    page.wait_for_url(re.compile(r"/came-up/(\?|#|$)"))
    expect(page.locator(".job-promise")).to_contain_text("promised")
    # A drop-in at the counter.
    drop_in = door.take_in(7, "small")
    door.agreed(drop_in, "tyre-tube")
    page.goto("/day/")
    expect(page.get_by_text("Owner 7").first).to_be_visible()
    # The evening: what is wrong and what is to order, next week's letters, tomorrow's plan, the calendar.
    page.goto("/parts/")
    expect(page.get_by_role("region", name="Wrong").get_by_text("Northern Spares")).to_be_visible()
    ordered_in_the_evening(page, sold_by_a_supplier(door, jobs[1]))
    written_to_for_next_week(page)
    board = door.ask("GET", "/day/ahead")
    planned = {job["job"] for day in board["week"] for job in day["jobs"]}
    assert drop_in in planned and len(board["promises"]) == 8
    with urllib.request.urlopen(_feed(page), timeout=120) as answer:
        assert answer.read().decode().count("BEGIN:VEVENT") == 8
    page.goto("/day/how-well/")
    expect(page.locator("h1")).to_have_text("How well it goes")


def sold_by_a_supplier(door: Door, job: int) -> str:
    """The chain that this job's agreed work lacks is in the catalogue, sold by a supplier; its words."""
    lines = door.ask("GET", f"/job/{job}/estimate")["lines"]
    words = str(next(one for one in lines if one["operation"] == "chain")["money"]["parts"][0]["name"])
    door.ask("POST", "/parts/supplier", {"name": "Harrow Supply", "days": 1, "carriage": "6.00"})
    head = "number,kind,words,price,count,bin,supplier,supplier_number,cost,pack"
    row = f'CH-1,chain,"{words}",36.00,0,A3,Harrow Supply,H-77,18.00,1'
    door.ask("POST", "/bins/import", {"text": f"{head}\n{row}\n"})
    return words


def ordered_in_the_evening(page: Page, words: str) -> None:
    """The list says what agreed work lacks and why; it is one tap, on paper too, and then nothing more is to be ordered of it."""
    page.goto("/parts/order/")
    order = page.locator("section", has=page.get_by_role("heading", name=re.compile("Harrow Supply")))
    line = order.locator(".part-row-wanted", has_text=words)
    expect(line).to_be_visible()
    line.locator("summary").click()
    expect(line.locator(".plain-list li").first).to_be_visible()
    paper = order.get_by_role("link", name=re.compile("on paper")).get_attribute("href") or ""
    assert page.request.get(paper).body().startswith(b"%PDF")
    order.get_by_role("button", name=re.compile("order sent")).click()
    expect(page.get_by_role("status")).to_contain_text("On order of Harrow Supply")
    expect(order).to_have_count(0)
    # Where its bike is promised for the next open day it is short still, and its day is told.
    short = page.get_by_role("region", name="short for tomorrow").locator(".part-row-wanted", has_text=words)
    for row in short.all():
        expect(row).to_contain_text("due ")


def written_to_for_next_week(page: Page) -> None:
    """Nobody may write to who was not asked: asked and said yes, the week's letter is made, opened, and marked as sent."""
    page.goto("/back/")
    row = page.locator(".part-row-wanted", has_text=COMES_BACK).first
    expect(row).to_contain_text("not asked yet if we may write or ring")
    week = page.locator("section", has=row)
    week.get_by_role("button", name=re.compile("letters for this week")).first.click()
    expect(page.locator("#outbox")).to_contain_text("0")
    page.goto("/back/")
    row.get_by_role("link", name=re.compile("not asked yet")).click()
    page.locator("#about").select_option("call-backs by letter")
    page.get_by_role("button", name="yes", exact=True).click()
    expect(page.locator(".owner-consents")).to_contain_text("yes")
    page.goto("/back/")
    week.get_by_role("button", name=re.compile("letters for this week")).first.click()
    waiting = page.locator("section", has=page.locator("#outbox")).locator(".part-row-wanted")
    expect(waiting).to_have_count(1)
    letter = waiting.get_by_role("link", name=re.compile("open it")).get_attribute("href") or ""
    assert page.request.get(letter).body().startswith(b"%PDF")
    waiting.get_by_role("button", name=re.compile("^sent")).click()
    expect(page.locator("section", has=page.locator("#outbox"))).to_contain_text("no letter waits")
    expect(page.locator(".part-row-wanted", has_text=COMES_BACK).first).to_contain_text("written")


def _feed(page: Page) -> str:
    """The address of the shop's calendar, as the page of the day gives it."""
    page.goto("/day/")
    page.locator("summary", has_text="Calendars").click()
    return page.locator("#calendars ~ ul code").first.inner_text()
