"""Measures each screen of the running demo: words, height, and how far down its first act stands.

Run it as `python docs/pictures/measure.py`, with a folder behind it for pictures of whole pages, light and dark.
"""

import shutil
import socket
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright
from take import FLAGS, SIZES, program, screens, serve, sign_in, wait_for

# What a page takes before it begins, the words that stand in it unfolded (without what a chooser offers), and where the thing to
# do ends.
MEASURE = """() => {
  const seen = (one) => one.checkVisibility() && one.getBoundingClientRect().height > 0;
  const bottom = (one) => one && seen(one) ? Math.round(one.getBoundingClientRect().bottom + scrollY) : 0;
  const main = document.querySelector("main");
  const acts = [...main.querySelectorAll("[data-do], .act:not(.plain)")].filter(seen);
  const said = main.cloneNode(true);
  said.querySelectorAll("select, svg, .unseen, [hidden], details:not([open]) > :not(summary)").forEach((one) => one.remove());
  const first = acts.find((one) => one.matches("[data-do]")) || acts[0];
  return {
    words: said.textContent.split(/\\s+/).filter((one) => /[\\p{L}\\p{N}]/u.test(one)).length,
    height: document.documentElement.scrollHeight,
    width: document.documentElement.scrollWidth,
    strip: document.querySelector(".way") ? bottom(document.querySelector(".way")) - bottom(document.querySelector(".demo-band")) : 0,
    act: bottom(first),
  };
}"""


def measured(
    browser: Browser, address: str, home: str, folder: Path | None
) -> dict[str, dict[str, dict[str, int]]]:
    """Return what was measured of each screen, by the name of the screen and the size of the page."""
    found: dict[str, dict[str, dict[str, int]]] = {}
    for size, (width, height) in SIZES.items():
        page = browser.new_page(viewport={"width": width, "height": height})
        sign_in(page, address, home)
        for screen, path in screens(page, address).items():
            page.goto(address + path)
            page.wait_for_load_state("networkidle")
            found.setdefault(screen, {})[size] = page.evaluate(MEASURE)
            for light in ("light", "dark") if folder else ():
                page.emulate_media(color_scheme=light)
                page.screenshot(path=folder / f"{screen}-{size}-{light}.png", full_page=size == "phone")  # type: ignore[operator]
            page.emulate_media(color_scheme="light")
        page.close()
    return found


def main() -> None:
    """Print a table of all screens."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    if folder:
        folder.mkdir(parents=True, exist_ok=True)
    home = tempfile.mkdtemp(prefix="pinchbolt-measure-")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    address, server = f"http://127.0.0.1:{port}", serve(home, port)
    try:
        wait_for(address)
        with sync_playwright() as tools:
            browser = tools.chromium.launch(executable_path=program(), args=FLAGS)
            found = measured(browser, address, home, folder)
            browser.close()
    finally:
        server.terminate()
        server.wait()
        shutil.rmtree(home, ignore_errors=True)
        shutil.rmtree(f"{home}-demo", ignore_errors=True)
    lines = [
        "| screen | words | height, px: tablet (phone) | head and strip, px | first act ends at, px |",
        "|---|---|---|---|---|",
    ]
    for screen, of in found.items():
        tablet, phone = of["tablet"], of["phone"]
        pairs = [(tablet[what], phone[what]) for what in ("height", "strip", "act")]
        cells = [f"{one:,} ({other:,})" if one or other else "-" for one, other in pairs]
        lines.append(f"| {screen} | {tablet['words']:,} | {' | '.join(cells)} |")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
