"""Every page on a phone and on a tablet, for hands in gloves: what is tapped is large, and nothing is squeezed or cut off.

The pages are drawn by the test's own client and laid into one browser; no server is started.
"""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tests.bench.conftest import Cast, cast, clock, no_tries, on_the_sheet, signed_in  # noqa: F401 (fixtures)
from tests.bench.pages import every_page_drawn
from tests.journeys.browser import SIZES, started
from tests.journeys.test_nobody_shut_out import ADDRESS, answer

pytestmark = pytest.mark.django_db

# A link inside a sentence is exempt, as in WCAG 2.5.5; one that has its line for itself is a target.
LOOK = """() => {
  const least = 44, wide = document.documentElement.clientWidth;
  const name = (one) => `${one.tagName.toLowerCase()} "${(one.innerText || one.value || one.name || "").trim().slice(0, 40)}"`;
  const shown = (one) => one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width > 2;
  const scrolls = (one) => one.closest(".way") || ["auto", "scroll"].includes(getComputedStyle(one).overflowX);
  const inScroller = (one) => { for (let up = one; up; up = up.parentElement) if (scrolls(up)) return true; return false; };
  const found = { small: [], squeezed: [], out: [] };
  const tapped = "header a, main a, main button, main summary, main select, main input:not([type=hidden]), main textarea";
  for (const one of document.querySelectorAll(tapped)) {
    const inSentence = one.tagName === "A" && getComputedStyle(one).display === "inline"
      && one.parentElement.innerText.trim().length > one.innerText.trim().length + 3;
    const box = (["radio", "checkbox"].includes(one.type) && one.closest("label") || one).getBoundingClientRect();
    const side = Math.min(box.height, box.width);
    if (shown(one) && !inSentence && side < least - 0.5) found.small.push(`${name(one)} ${Math.round(side)} px`);
  }
  for (const one of document.querySelectorAll("main *")) {
    const words = [...one.childNodes].filter((node) => node.nodeType === 3).map((node) => node.data.trim()).join(" ").trim();
    if (!words || !shown(one) || one.closest("svg") || one.closest(".unseen") || getComputedStyle(one).position === "absolute") continue;
    const box = one.getBoundingClientRect(), line = parseFloat(getComputedStyle(one).fontSize);
    // One word a line, over and over, is a column that fell in.
    const isColumn = box.height > 7 * 1.2 * line && box.width < 6 * line && words.length > 24;
    if (isColumn && getComputedStyle(one).display !== "inline") found.squeezed.push(name(one));
  }
  const laid = ["input", "select", "textarea", "button", ".act", "td", "th", "p", "li"].map((one) => `main ${one}`).join();
  for (const one of document.querySelectorAll(laid)) {
    const sheet = one.closest(".sheet");
    if (!shown(one) || one.closest(".unseen") || inScroller(one)) continue;
    const right = one.getBoundingClientRect().right;
    if (right > wide + 1 || (sheet && right > sheet.getBoundingClientRect().right + 1)) found.out.push(name(one));
  }
  const wrong = Object.entries(found).filter(([, ones]) => ones.length);
  return Object.fromEntries(wrong.map(([what, ones]) => [what, [...new Set(ones)].slice(0, 6)]));
}"""


def test_pages_are_made_for_gloves(
    on_the_sheet: Cast,  # noqa: F811 (the fixture)
    signed_in: Callable[[object], Client],  # noqa: F811 (the fixture)
    chromium: str,
) -> None:
    """Nothing alone is under 44 px high or wide, no column is squeezed to a word a line, nothing sticks out of its sheet."""
    client = signed_in(on_the_sheet.owner)
    drawn = every_page_drawn(client, on_the_sheet)
    assert len(drawn) > 60
    found: dict[str, dict[str, Any]] = {}
    with started(chromium) as browser:
        page = browser.new_page()
        page.route("**/*", lambda route: answer(route, drawn))
        for address in (one for one, told in drawn.items() if told.lstrip().startswith("<!doctype")):
            page.goto(f"{ADDRESS}{address}")
            for size, (width, height) in SIZES.items():
                page.set_viewport_size({"width": width, "height": height})
                wrong = page.evaluate(LOOK)
                if wrong:
                    found[f"{size} {address}"] = wrong
    assert found == {}, json.dumps(found, indent=1, ensure_ascii=False)
