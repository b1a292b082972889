"""A tablet in a cellar: a thousand acts, fifty power cuts, every seventh answer lost; what reached the book, beside its bar.

    python -m ratios.score_offline [--acts 1000] [--kills 50] [--lost 0.15]        `make score-offline`

A real Chromium, the server of a release, and a door between them that is shut half of the time and loses answers after the
server has written. Findings, photos and notes on four bikes, each with a mark of its own. Half of the power cuts come while an
act is under way: nobody was told that it is kept, so it may be in the book or not, but never twice.
"""

import argparse
import random
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from statistics import median
from uuid import uuid4

from PIL import Image
from playwright.sync_api import Page, expect

from tests.journeys.bad_signal import BadSignal, bad_signal
from tests.journeys.browser import playing, program
from tests.journeys.conftest import serving
from tests.journeys.tablet import PATIENCE_S, Tablet, tablet
from tests.journeys.test_something_came_up import taken_in

# Chromium writes a cookie to the disk within so long; a tablet that loses power sooner asks for the sign-in again.
_COOKIE_S = 35
_SEND = """async ([address, told, photo]) => {
    const body = new FormData();
    for (const [name, value] of told) { body.append(name, value); }
    body.append("csrfmiddlewaretoken", document.querySelector("[name=csrfmiddlewaretoken]").value);
    if (photo) { body.append("photo", new File([Uint8Array.from(photo)], "seen.jpg", { type: "image/jpeg" })); }
    const began = performance.now(), answer = await fetch(address, { method: "POST", body });
    return [answer.status, answer.headers.has("HX-Refresh"), performance.now() - began];
}"""
_FIRE = _SEND.replace("await fetch(", "fetch(").replace(
    'answer.status, answer.headers.has("HX-Refresh")', "0, false"
)


@dataclass
class _Book:
    """What was done: the marks in order, job by job; of which somebody was told that they are kept."""

    done: dict[str, list[str]] = field(default_factory=dict)
    told: set[str] = field(default_factory=set)
    refused: int = 0
    kept_ms: list[float] = field(default_factory=list)


class Cellar:
    """The tablet, the door, and acts drawn by chance."""

    def __init__(self, bench: Tablet, door: BadSignal, seed: int, photo: bytes) -> None:
        self.bench, self.door, self.photo = bench, door, list(photo)
        self.chance = random.Random(seed)
        self.book = _Book()
        self.jobs: list[str] = []
        self.person, self.other = "", ""

    def open(self) -> None:
        """Sign in, take four bikes in, and wait until the sign-in is on the tablet's disk."""
        page = self.bench.switch_on()
        page.goto(self.door.address)
        self.jobs = [taken_in(page, self.door.address)]
        for _ in range(3):
            page.goto(f"{self.door.address}/check-in/?template=gravel-1x")
            page.get_by_label("owner").first.fill(f"Ada Merrow {len(self.jobs)}")
            page.get_by_role("button", name="check the bike in", exact=True).click()
            page.wait_for_url("**/job/*/check-in/")
            self.jobs.append(page.url.split("/job/")[1].split("/")[0])
        self.person = str(page.locator("body").get_attribute("data-person"))
        page.goto(f"{self.door.address}/job/{self.jobs[0]}/came-up/hand-on/")
        self.other = str(page.locator("input[name=to]").first.get_attribute("value"))
        self.there(page)
        time.sleep(_COOKIE_S)

    def there(self, page: Page) -> None:
        """The page of what waits, once the worker stands before it."""
        page.goto(f"{self.door.address}/unsent/")
        page.wait_for_function("() => navigator.serviceWorker.controller !== null")

    def act(self, number: int) -> tuple[str, str, list[object]]:
        """An act drawn by chance: its job, its mark, and what is sent."""
        job, key = self.chance.choice(self.jobs), uuid4().hex
        words = f"number {number} on {job}"
        about = f"by={self.person}&job={job}"
        match self.chance.choice(("found", "found", "photo", "note")):
            case "photo":
                told = [["key", key], ["about", "finding"], ["words", words]]
                return job, key, [f"/job/{job}/photos/taken/?waits=photo&{about}", told, self.photo]
            case "note":
                told = [["key", key], ["to", self.other], ["note", words]]
                return job, key, [f"/job/{job}/came-up/hand-on/?waits=note&{about}", told, None]
        told = [["key", key], ["words", words], ["verdict", "keep an eye on it"], ["part", ""]]
        return job, key, [f"/job/{job}/walk-round/front-brake/found/?waits=found&{about}", told, None]

    def round(self, first: int, many: int, *, kill: bool) -> None:
        """So many acts with or without signal; a power cut at one of them, half of the time while it is under way."""
        page = self.bench.page
        (self.door.shut if self.chance.random() < 0.5 else self.door.open)()
        cut = self.chance.randrange(many) if kill else -1
        for number in range(many):
            job, key, sent = self.act(first + number)
            self.book.done.setdefault(job, []).append(key)
            if number == cut and self.chance.random() < 0.5:
                page.evaluate(_FIRE, sent)
                time.sleep(self.chance.random() * 0.3)
            else:
                self.take(key, page.evaluate(_SEND, sent))
            if number == cut:
                self.bench.lose_power()
                page = self.bench.switch_on()
                self.there(page)

    def take(self, key: str, answer: list[object]) -> None:
        """What somebody was told of an act."""
        status, kept, took = answer
        if status == 200:
            self.book.told.add(key)
            if kept and self.door.is_shut:
                self.book.kept_ms.append(float(str(took)))
        else:
            self.book.refused += 1

    def empty(self) -> float:
        """Signal for good; return the seconds until nothing waits any more."""
        began = time.monotonic()
        self.door.open()
        page = self.bench.page
        self.there(page)
        expect(page.locator("[data-unsent-list]")).to_contain_text(
            "all that was done on this tablet is in the book", timeout=PATIENCE_S * 20_000
        )
        return time.monotonic() - began


def score(acts: int, kills: int, lost: float, seed: int = 20) -> bool:
    """Run it; print each figure beside its bar, and return whether all hold."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="pinchbolt-cellar-") as name:
        folder = Path(name)
        Image.new("RGB", (40, 30), "grey").save(folder / "seen.jpg")
        with serving(folder) as server, playing() as player:
            port = int(server.address.rpartition(":")[2])
            with bad_signal(port, lost) as door, tablet(player, program(), folder / "profile") as bench:
                cellar = Cellar(bench, door, seed, (folder / "seen.jpg").read_bytes())
                cellar.open()
                rounds = max(kills, 1)
                for number in range(rounds):
                    many = acts // rounds + (number < acts % rounds)
                    cellar.round(sum(map(len, cellar.book.done.values())), many, kill=number < kills)
                took = cellar.empty()
            found = _in_the_book(folder / "home" / "bench.sqlite3")
    book = cellar.book
    done = [key for keys in book.done.values() for key in keys]
    order = {
        job: sorted((found[key][0], keys.index(key)) for key in keys if key in found)
        for job, keys in book.done.items()
    }
    out_of_order = sum(later[1] < earlier[1] for rows in order.values() for earlier, later in pairwise(rows))
    print(
        f"{len(done)} acts on {len(book.done)} bikes, {kills} power cuts, {door.answers_lost} answers lost after the server wrote"
    )
    print(
        f"kept on the tablet without signal: {len(book.kept_ms)}, median {median(book.kept_ms or [0]):.0f} ms each"
    )
    print(
        f"told 'kept' or 'saved': {len(book.told)}; not answered when the power went: {len(done) - len(book.told) - book.refused}"
    )
    print(f"emptied in {took:.0f} s once the signal was back; all in all {time.monotonic() - began:.0f} s")
    figures = {
        "refused by the workshop": book.refused,
        "told and lost": len(book.told - found.keys()),
        "in the book twice": sum(often - 1 for _, often in found.values()) + len(found.keys() - set(done)),
        "out of order on their job": out_of_order,
    }
    for words, many in figures.items():
        print(f"{words:28} {many:5d}   bar 0   {'holds' if many == 0 else 'DOES NOT HOLD'}")
    return not any(figures.values())


def _in_the_book(path: Path) -> dict[str, tuple[int, int]]:
    """Each mark with its row and how often it is there; one that the tablet never made would be a double as well."""
    with closing(sqlite3.connect(path)) as book:
        rows = book.execute(
            "SELECT key, min(id), count(*) FROM records_event WHERE kind IN ('found', 'photo taken', 'handed on') GROUP BY key"
        ).fetchall()
    return {key: (row, often) for key, row, often in rows}


if __name__ == "__main__":
    asked = argparse.ArgumentParser(prog="score_offline", description=__doc__.split("\n")[0])
    asked.add_argument("--acts", type=int, default=1000)
    asked.add_argument("--kills", type=int, default=50)
    asked.add_argument("--lost", type=float, default=0.15)
    told = asked.parse_args()
    sys.exit(0 if score(told.acts, told.kills, told.lost) else 1)
