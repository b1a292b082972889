"""Takes a picture of each screen of the running demo, on a tablet and on a phone. Run by `make pictures`."""

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

HERE = Path(__file__).resolve().parent
# Also where the launcher did not start it.
sys.path.insert(0, str(HERE.parents[1]))
from tests.journeys.browser import program  # noqa: E402

SIZES = {"tablet": (1180, 820), "phone": (390, 844)}
FLAGS = "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync".split()


def serve(home: str, port: int) -> subprocess.Popen[bytes]:
    """Start the invented workshop beside a new home folder: it is loaded first."""
    command = [
        sys.executable,
        "-c",
        "from pinchbolt.cli import main; main()",
        "serve",
        "--demo",
        "--port",
        str(port),
    ]
    return subprocess.Popen(command, env={**os.environ, "PINCHBOLT_HOME": home}, stdout=subprocess.DEVNULL)


def wait_for(address: str, seconds: int = 300) -> None:
    """Wait until the sign-in page answers."""
    for _ in range(seconds):
        try:
            urllib.request.urlopen(f"{address}/sign-in/", timeout=5).close()
            return
        except OSError:
            time.sleep(1)
    raise SystemExit("The bench did not answer within five minutes.")


def sign_in(page: Page, address: str, home: str) -> None:
    """Sign in as the owner of the demo workshop."""
    words = json.loads(Path(f"{home}-demo/invented-people.json").read_text(encoding="utf-8"))[0]["passphrase"]
    page.goto(f"{address}/sign-in/")
    page.locator("input[name=sign_in][value=ines]").check(force=True)
    page.locator("input[name=passphrase]").fill(words)
    page.locator("input[name=passphrase]").press("Enter")
    page.wait_for_url(f"{address}/")


def screens(page: Page, address: str) -> dict[str, str]:
    """Each screen by its name; jobs are found by the bike that stands in that step."""
    jobs = {}
    for tag in ("MY-01", "MY-05", "MY-07", "MY-10", "MY-12"):
        page.goto(f"{address}/bike/{tag}/")
        links = [a.get_attribute("href") or "" for a in page.locator("a[href^='/job/']").all()]
        jobs[tag] = max(int(link.split("/")[2]) for link in links if link.split("/")[2].isdigit())

    def step(tag: str, name: str) -> str:
        return f"/job/{jobs[tag]}/{name}/"

    page.goto(address + step("MY-12", "wheels"))
    wheels = page.locator("main a[href*='/wheels/']").all()
    wheel = wheels[-1].get_attribute("href") if wheels else None
    return {
        "shop-day": "/",
        "day-ahead": "/day/",
        "who-comes-back": "/back/",
        "parts": "/parts/",
        "order-list": "/parts/order/",
        "stocktake": "/bins/stocktake/",
        "meters": "/tools/meters/",
        "wheel-sheet": wheel or step("MY-12", "wheels"),
        "unsent": "/unsent/",
        "settings": "/settings/",
        "open-days": "/settings/days/",
        "tablets": "/settings/tablets/",
        "came-up": step("MY-05", "came-up"),
        "build": "/bike/MY-03/build/",
        "bike": "/bike/MY-03/",
        "rides": "/bike/MY-01/rides/",
        "check-in": "/check-in/",
        "tool-board": "/tools/",
        "tool-check": "/tools/10/",
        "kit": "/kit/?bike=MY-03&choose=travel&least=mass",
        "bolt-round": "/bike/MY-07/bolt-round/",
        "gears": "/gears/?tag=MY-03",
        "swap": "/swap/?into=MY-03&out_of=MY-01&move=rear+wheel&rank=price",
        "bins": "/bins/",
        "people": "/settings/people/",
        "looks": step("MY-12", "looks"),
        "walk-round": step("MY-10", "walk-round"),
        "fit": "/fit/",
        "tyre": "/tyre/?tag=MY-03",
        "chain-length": "/chain-length/?tag=MY-03",
        "the-workshop": "/settings/shop/",
        "findings": step("MY-07", "findings"),
        "counter": step("MY-07", "findings/counter"),
        "estimate": step("MY-07", "estimate"),
        "work": step("MY-05", "work"),
        "torque-sheet": step("MY-05", "work/torque"),
        "switch": "/switch/",
        "sign-off": step("MY-05", "sign-off"),
        "handover": step("MY-01", "handover"),
        "money": step("MY-01", "money"),
    }


def main() -> None:
    """Take all pictures."""
    home = tempfile.mkdtemp(prefix="pinchbolt-pictures-")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    address, server = f"http://127.0.0.1:{port}", serve(home, port)
    try:
        wait_for(address)
        with sync_playwright() as tools:
            browser = tools.chromium.launch(executable_path=program(), args=FLAGS)
            for name, (width, height) in SIZES.items():
                page = browser.new_page(viewport={"width": width, "height": height})
                page.goto(f"{address}/sign-in/")
                page.screenshot(path=HERE / f"sign-in-{name}.png")
                sign_in(page, address, home)
                for screen, path in screens(page, address).items():
                    page.goto(address + path)
                    page.wait_for_load_state("networkidle")
                    page.screenshot(path=HERE / f"{screen}-{name}.png")
            browser.close()
    finally:
        server.terminate()
        server.wait()
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
