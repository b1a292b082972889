"""The tool board: what hangs here and how far it can be trusted."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client

from pinchbolt.records.models import Instrument, InstrumentCheck, Person, Tool, ToolCheck
from pinchbolt.workshop.acts.acting import act
from tests.bench.conftest import Cast
from tests.story import NOW

pytestmark = pytest.mark.django_db


def test_a_torque_tool_shows_its_range_and_what_it_may_be_out(cast: Cast, tablet: Client) -> None:
    """A click wrench of 2 to 14 N·m, of a class that may be 4 percent out (the table's row of that tool and class)."""
    page = tablet.get("/tools/").content.decode()
    page = page[page.index('id="torque"') :]
    row = page[page.index("small click wrench") :]
    assert "2 to 14" in row[:400]
    assert "4 %" in row[:400]


def test_a_tool_whose_check_is_past_says_so_in_words(cast: Cast, tablet: Client) -> None:
    """Overdue is not a colour."""
    tool = Tool.objects.get(name__startswith="small click wrench")
    with act("tool checked", by=cast.owner.pk, key="tool-check-01", now=NOW, request={}) as this:
        ToolCheck.objects.create(
            event=this.write(),
            tool=tool,
            day=date(2025, 9, 16),
            due=date(2026, 9, 16),
            deviation=0.03,
            good=True,
        )
    page = tablet.get("/tools/").content.decode()
    assert "checked too long ago:" in page
    assert "was due Wed 16 Sep" in page


def test_an_instrument_shows_its_own_error_once_checked(cast: Cast, tablet: Client) -> None:
    """What it showed less what was true, with its sign."""
    caliper = Instrument.objects.get(table_id="caliper")
    with act("instrument checked", by=cast.owner.pk, key="gauge-check-01", now=NOW, request={}) as this:
        InstrumentCheck.objects.create(
            event=this.write(),
            instrument=caliper,
            against="gauge block",
            bias=-0.03,
            unit="mm",
            good=True,
            day=NOW.date(),
        )
    page = tablet.get("/tools/").content.decode()
    assert "\u22120.03</span> mm off" in page
    assert "checked today" in page


def test_the_board_only_shows(cast: Cast, tablet: Client) -> None:
    """What is written down is sent to the page of one tool."""
    assert tablet.post("/tools/").status_code == 405


def test_a_tool_is_hung_on_the_board_once(cast: Cast, tablet: Client) -> None:
    """A double tap hangs one; it is listed with its place."""
    data = {"table_id": "hex-6", "name": "", "hangs": "left board, row 2", "key": "hang-tool-001"}
    for _ in range(2):
        assert tablet.post("/tools/hang/", data).status_code == 303
    assert Tool.objects.filter(table_id="hex-6").count() == 1
    page = tablet.get("/tools/").content.decode()
    assert "hangs at left board, row 2" in page


def test_what_the_table_has_not_is_not_hung(
    cast: Cast, tablet: Client, signed_in: Callable[[Person], Client]
) -> None:
    """Refused with what was typed kept; the counter hangs nothing, and a look changes nothing."""
    data = {"table_id": "hex-99", "name": "odd key", "hangs": "", "key": "hang-tool-002"}
    answer = tablet.post("/tools/hang/", data)
    page = answer.content.decode()
    assert answer.status_code == 422 and "The table has no tool" in page and 'value="odd key"' in page
    assert signed_in(cast.counter).post("/tools/hang/", {**data, "table_id": "hex-6"}).status_code == 403
    assert tablet.get("/tools/hang/").status_code == 302
    assert not Tool.objects.filter(table_id__startswith="hex-").exists()


def test_what_new_parts_read_on_it_is_said_until_it_is_checked(
    cast: Cast, tablet: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was learned of a gauge stands at the gauge, where somebody will check it; a check since then ends it."""
    caliper, words = (
        Instrument.objects.get(table_id="caliper"),
        "New chains read 0.08% here, 0.02% is usual: check the gauge.",
    )
    told = {caliper.name: (words, date(2026, 9, 1))}
    monkeypatch.setattr("pinchbolt.workshop.wear.learn.gauges_to_check", lambda: told)
    assert words in tablet.get("/tools/").content.decode()
    with act("instrument checked", by=cast.owner.pk, key="gauge-check-07", now=NOW, request={}) as this:
        InstrumentCheck.objects.create(
            event=this.write(),
            instrument=caliper,
            against="gauge block",
            bias=0.0,
            unit="mm",
            day=date(2026, 9, 2),
            good=True,
        )
    assert words not in tablet.get("/tools/").content.decode()


def test_a_crow_foot_hangs_apart_with_its_reach(cast: Cast, tablet: Client) -> None:
    """Not measured, it is said to be used square; measured on its own page, its reach stands on the board."""
    data = {"table_id": "crowfoot-8", "name": "", "hangs": "hook 3", "arm_mm": "", "key": "hang-foot-001"}
    assert tablet.post("/tools/hang/", data).status_code == 303
    foot = Tool.objects.get(table_id="crowfoot-8")
    page = tablet.get("/tools/").content.decode()
    apart = page[page.index('id="adapters"') : page.index('id="instruments"')]
    assert foot.name in apart and "reach not measured:" in apart and "hangs at hook 3" in apart
    assert foot.name not in page[page.index('id="tools"') : page.index('id="hang"')]
    sent = {"arm_mm": "25,5", "key": "measure-foot-001"}
    assert tablet.post(f"/tools/{foot.pk}/arm/", sent).status_code == 303
    assert 'reaches <span class="figure">25.5</span> mm' in tablet.get("/tools/").content.decode()
    assert "no torque tool here has its arm measured yet" in tablet.get("/tools/").content.decode()


def test_a_wrench_is_hung_with_its_arm(cast: Cast, tablet: Client) -> None:
    """From drive to grip mark; what has no arm is refused, and nothing hangs."""
    data = {"table_id": "tq-2-14", "name": "second", "hangs": "", "arm_mm": "230", "key": "hang-arm-0001"}
    assert tablet.post("/tools/hang/", data).status_code == 303
    assert "arm 230 mm" in tablet.get("/tools/").content.decode()
    key = {"table_id": "hex-5", "name": "", "hangs": "", "arm_mm": "80", "key": "hang-arm-0002"}
    answer = tablet.post("/tools/hang/", key)
    assert answer.status_code == 422 and "has no arm that a setting hangs on" in answer.content.decode()
    assert not Tool.objects.filter(table_id="hex-5").exists()


def test_the_points_of_a_certificate_stand_at_the_tool(cast: Cast, tablet: Client) -> None:
    """2.8 shown, 2.7 true: (2.8 - 2.7) / 2.7 = 3.7 % too much."""
    tool = Tool.objects.get(name__startswith="small click wrench")
    assert 'id="certificate"' not in tablet.get(f"/tools/{tool.pk}/").content.decode()
    sent = {"true_0": "2.7", "true_1": "8.4", "true_2": "14.1", "key": "points-0001"}
    assert tablet.post(f"/tools/{tool.pk}/calibration/", sent).status_code == 303
    page = tablet.get(f"/tools/{tool.pk}/").content.decode()
    page = page[page.index('id="certificate"') :]
    assert "reads 3.7 % high" in page and "reads true" in page and "reads 0.71 % low" in page


def test_a_bare_board_is_hung_in_one_go(cast: Cast, tablet: Client) -> None:
    """Ticked on one list, one act a tool, none twice by a second tap; nothing ticked is said."""
    Instrument.objects.all().delete()
    assert "Add what you have" in tablet.get("/tools/").content.decode()
    assert tablet.post("/tools/hang-several/", {"key": "bare-board-0"}).status_code == 422
    ticked = {"table_ids": ["caliper", "chain-gauge-go-nogo"], "key": "bare-board-1"}
    for _ in range(2):
        assert tablet.post("/tools/hang-several/", ticked).status_code == 303
    assert Instrument.objects.count() == 2
    assert "Add what you have" not in tablet.get("/tools/").content.decode()
