"""A whole day of a two-person shop: seven bikes promised with odds, one grows, a part comes wrong, an owner does not answer, a drop-in,
the evening. The counter and the day's page in a real browser; what a browser adds nothing to goes through the JSON door."""

import json
import re
import urllib.request
from typing import Any
from urllib.error import HTTPError

from playwright.sync_api import Page, expect

from tests.journeys.browser import opened, started
from tests.journeys.conftest import Server
from tests.journeys.people import NAMES, PASSPHRASE

WORK = ("chain", "bleed", "rotor-true", "safety-check", "wheel-true", "tyre-tube")
AT_ONE_END = ("bleed", "rotor-true", "wheel-true", "tyre-tube")


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


def signed_in(page: Page) -> None:
    """At the bench."""
    page.goto("/")
    page.get_by_role("radio", name=NAMES["ines"]).check(force=True)
    page.get_by_label("passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name="sign in", exact=True).click()
    expect(page.locator(".head-person")).to_contain_text(NAMES["ines"])


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
    expect(page.locator(".part-row-wanted", has_text="not what we ordered").first).to_be_visible()


def test_a_day_of_seven_bikes_goes_through_the_book(server: Server, chromium: str) -> None:
    """From the first check-in to the evening: every promise has its odds, what goes wrong is listed with the one call, nothing is lost."""
    door = Door(server.address)
    with started(chromium) as browser:
        page = opened(browser, "tablet", server.address)
        signed_in(page)
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
        expect(page.locator(".job-promise")).to_contain_text("promised")
        # A drop-in at the counter.
        drop_in = door.take_in(7, "small")
        door.agreed(drop_in, "tyre-tube")
        page.goto("/day/")
        expect(page.get_by_text("Owner 7").first).to_be_visible()
        # The evening: what is to order and what is wrong, tomorrow's plan, the calendar.
        page.goto("/parts/")
        expect(page.get_by_role("region", name="Wrong").get_by_text("Northern Spares")).to_be_visible()
        board = door.ask("GET", "/day/ahead")
        planned = {job["job"] for day in board["week"] for job in day["jobs"]}
        assert drop_in in planned and len(board["promises"]) == 8
        with urllib.request.urlopen(_feed(page), timeout=120) as answer:
            assert answer.read().decode().count("BEGIN:VEVENT") == 8
        page.goto("/day/how-well/")
        expect(page.locator("h1")).to_have_text("How well it goes")


def _feed(page: Page) -> str:
    """The address of the shop's calendar, as the page of the day gives it."""
    page.goto("/day/")
    return page.locator("#calendars ~ ul code").first.inner_text()
