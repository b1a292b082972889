"""Every page of the address list, light and dark, looked over by axe-core: nothing on it shuts anybody out.

The pages are drawn by the test's own client and laid into one browser; no server of the program is started, so that
a hundred pages cost one browser and a second each. Against: axe-core 4.12.1, all of its rules (WCAG 2.0 to 2.2, A and AA, and its
best practices).
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import Page

from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from tests.bench.conftest import Cast, cast, clock, no_tries, on_the_sheet, signed_in  # noqa: F401 (fixtures)
from tests.bench.pages import every_page_drawn
from tests.journeys.laid import ADDRESS, laid_pages
from tests.story import NOW
from tests.workshop.wheels.wheel_story import in_stand

pytestmark = pytest.mark.django_db
AXE = Path(__file__).parent / "axe" / "axe.min.js"
# Every rule in the light; in the dark those that look at colours, for nothing else of a page changes with its look.
ON_COLOURS = ["color-contrast", "link-in-text-block"]
LOOKS = {"light": {}, "dark": {"runOnly": {"type": "rule", "values": ON_COLOURS}}}
# axe leaves words that stand in an empty field out. They are read like others: WCAG 1.4.3, 4.5 to 1.
FAINT = """() => {
  const paint = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const seen = (colour) => {
    paint.clearRect(0, 0, 1, 1);
    paint.fillStyle = colour;
    paint.fillRect(0, 0, 1, 1);
    return [...paint.getImageData(0, 0, 1, 1).data];
  };
  const part = (of) => { const share = of / 255; return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4; };
  const light = ([red, green, blue]) => 0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue) + 0.05;
  const faint = [];
  for (const one of document.querySelectorAll("[placeholder]:placeholder-shown")) {
    const ground = light(seen(getComputedStyle(one).backgroundColor));
    const words = light(seen(getComputedStyle(one, "::placeholder").color));
    const apart = Math.max(ground, words) / Math.min(ground, words);
    if (apart < 4.5) faint.push(`"${one.placeholder}" ${apart.toFixed(2)} to 1`);
  }
  return faint;
}"""


def violations(page: Page, look: str) -> list[str]:
    """What axe finds wrong, each with its place on the page."""
    page.evaluate("look => { document.documentElement.dataset.look = look; }", look)
    asked = {"resultTypes": ["violations"], **LOOKS[look]}
    found = page.evaluate("asked => axe.run(document, asked)", asked)["violations"]
    return [f"{look}: words in an empty field are faint: {one}" for one in page.evaluate(FAINT)] + [
        f"{look}: {one['id']} ({one['help']}) at {', '.join(' '.join(map(str, node['target'])) for node in one['nodes'][:3])}"
        for one in found
    ]


def test_no_page_shuts_anybody_out(
    on_the_sheet: Cast,  # noqa: F811 (the fixture)
    signed_in: Callable[[object], Client],  # noqa: F811 (the fixture)
    chromium: str,
) -> None:
    """0 violations on each page, in both lights; signed in as the owner of the workshop, who sees every form."""
    client = signed_in(on_the_sheet.owner)
    # Its sheet with all that may stand on one: read, a nipple turned, spokes plucked, one broken.
    stand = in_stand(told=on_the_sheet.story)
    break_spoke(
        BreakSpokeRequest(stand.told.job, stand.part, "elbow", 3),
        by=stand.told.first,
        key=stand.told.key(),
        now=NOW,
    )
    stand.read()
    stand.turn(5, 1)
    heard = HearSpokesRequest(stand.told.job, stand.part, (HeardSpoke(3, 401.5),))
    note_pitches(heard, by=stand.told.first, key=stand.told.key(), now=NOW)
    drawn = every_page_drawn(client, on_the_sheet)
    assert len(drawn) > 60
    found: dict[str, list[str]] = {}
    with laid_pages(chromium, drawn, AXE) as browser:
        page = browser.new_page(viewport={"width": 1180, "height": 820})
        # A piece of a page is judged where it is laid in.
        for address in (one for one, told in drawn.items() if told.lstrip().startswith("<!doctype")):
            page.goto(f"{ADDRESS}{address}")
            page.add_script_tag(url=f"{ADDRESS}/{AXE.name}")
            wrong = [one for look in LOOKS for one in violations(page, look)]
            if wrong:
                found[address] = wrong
    assert found == {}, json.dumps(found, indent=1)
