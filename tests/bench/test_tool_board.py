"""The tool board: what hangs here and how far it can be trusted."""

from datetime import date

import pytest
from django.test import Client

from pinchbolt.records.models import Instrument, InstrumentCheck, Tool, ToolCheck
from pinchbolt.workshop.acting import act
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
    with act("tool checked", by=cast.owner.pk, key="tool-check-01", now=NOW, asked={}) as this:
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
    with act("instrument checked", by=cast.owner.pk, key="gauge-check-01", now=NOW, asked={}) as this:
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
    assert "\u22120.03</span> mm against what is true" in page
    assert "checked today" in page


def test_the_board_only_shows(cast: Cast, tablet: Client) -> None:
    """What is written down is sent to the page of one tool."""
    assert tablet.post("/tools/").status_code == 405
