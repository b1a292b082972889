"""Every page of the address list, opened once in a browser for all that is measured on it: nothing shuts anybody out, and gloves do.

The pages are drawn by the test's own client; no server of the program is started.
"""

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Browser

from pinchbolt.workshop.day.how_well import BandView, ForecastCheck, HowWell, SoldView, WorkView
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from tests.bench.conftest import Cast, cast, clock, no_tries, on_the_sheet, signed_in  # noqa: F401 (fixtures)
from tests.bench.pages import every_page_drawn
from tests.journeys.browser import SIZES
from tests.journeys.gloves import not_for_gloves
from tests.journeys.laid import laid_pages
from tests.journeys.shut_out import AXE, shuts_out
from tests.story import NOW, Story
from tests.workshop.wheels.wheel_story import in_stand

# A shop of which there is much to tell: its tables are as wide as they come.
MUCH = HowWell(
    138, 121, 12,
    (BandView(0.75, 0.85, 38, 0.8, 0.763, 0.66, 0.84),),
    (WorkView("chain", "new chain and cassette", 1138, 135.5, 1120.5, (120, 150, 250), (130, 170, 290)),),
    (ForecastCheck("chain, wear (9 or 10-speed)", 1106, 1006, 100, 100),),
    (SoldView("chain wear, at its limit", 1106, 1006, 100),),
)  # fmt: skip


def with_all_on_its_wheel(told: Story) -> None:
    """The wheel's sheet with all that may stand on one: read, a nipple turned, spokes plucked, one broken."""
    stand = in_stand(told=told)
    broken = BreakSpokeRequest(told.job, stand.part, "elbow", 3)
    break_spoke(broken, by=told.first, key=told.key(), now=NOW)
    stand.read()
    stand.turn(5, 1)
    heard = HearSpokesRequest(told.job, stand.part, (HeardSpoke(3, 401.5),))
    note_pitches(heard, by=told.first, key=told.key(), now=NOW)


@pytest.mark.django_db
def test_no_page_shuts_anybody_out_and_each_is_made_for_gloves(
    on_the_sheet: Cast,  # noqa: F811 (the fixture)
    signed_in: Callable[[object], Client],  # noqa: F811 (the fixture)
    browser: Browser,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """0 violations in both lights; nothing alone is under 44 px, nothing squeezed, outside of its sheet, over others, or cut.

    Signed in as the owner of the workshop, who sees every form. A cut answer may stand whole beside its field.
    """
    monkeypatch.setattr("pinchbolt.bench.how_well.how_well_screen.seen_well", lambda _: MUCH)
    with_all_on_its_wheel(on_the_sheet.story)
    drawn = every_page_drawn(signed_in(on_the_sheet.owner), on_the_sheet)
    assert len(drawn) > 60
    found: dict[str, Any] = {}
    with laid_pages(browser, drawn, AXE) as context:
        page = context.new_page()
        # A piece of a page is judged where it is laid in.
        for address in (one for one, told in drawn.items() if told.lstrip().startswith("<!doctype")):
            width, height = SIZES["tablet"]
            page.set_viewport_size({"width": width, "height": height})
            page.goto(address)
            page.add_script_tag(url=f"/{AXE.name}")
            wrong = {"shuts out": shuts_out(page), "gloves": not_for_gloves(page)}
            if any(wrong.values()):
                found[address] = wrong
    assert found == {}, json.dumps(found, indent=1, ensure_ascii=False)
