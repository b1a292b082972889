"""What is short, what to order and who comes back, on the command line: people and programs read the same."""

import csv
from datetime import timedelta
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest

from pinchbolt.records.models import Event, Line
from pinchbolt.workshop.came_up.job_parts import parts_for
from pinchbolt.workshop.parts.suppliers import SupplierRequest, say_supplier
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.stays.promise import PromiseRequest, promise
from tests import story
from tests.cli.conftest import Run
from tests.story import NOW, Story


@pytest.fixture
def lacking(db: None) -> Story:
    """A chain is promised for tomorrow and lies in no bin; Harrow sells it."""
    on = story.answered(story.priced(story.walked_round(story.checked_in())))
    when = PromiseRequest(on.job, NOW + timedelta(days=1), "owner's wish", "by phone")
    promise(when, by=on.first, key=on.key(), now=NOW)
    line = Line.objects.get(job=on.job, operation="chain", event__corrected_by__isnull=True).pk
    words = next(one.words for one in parts_for(on.record, NOW) if one.line == line)
    file = f'number,kind,words,price,count,supplier,cost\nCH-1,chain,"{words}",36.00,0,Harrow Supply,18.00\n'
    take_in_parts(PartsRequest(file), by=on.first, key=on.key(), now=NOW)
    terms = SupplierRequest("Harrow Supply", days=1, carriage=Decimal("6.00"))
    say_supplier(terms, by=on.first, key=on.key(), now=NOW)
    return on


def test_short_and_order_say_the_same_to_people_and_programs(
    lacking: Story, run: Run, tmp_path: Path
) -> None:
    """The bike's tag, the part, the reason; as CSV; a file that is there is not written over."""
    short = run("short", "--json").json
    assert [one["tag"] for one in short if "chain" in one["words"]] == [lacking.record.bike.tag]
    assert lacking.record.bike.tag in run("short").out
    seen = run("order", "--json").json
    assert seen["orders"][0]["lines"][0]["number"] == "CH-1"
    assert f"1 for {lacking.record.bike.tag}" in run("order").out
    rows = list(csv.DictReader(StringIO(run("order", "--csv").out)))
    assert [row["our_number"] for row in rows] == ["CH-1"]
    file = tmp_path / "order.csv"
    assert run("order", "Harrow Supply", "-o", str(file)).code == 0
    again = run("order", "-o", str(file))
    assert again.code == 2 and "nothing is overwritten" in again.err
    assert run("order", "Nobody", "--csv").code == 2


def test_due_by_week_and_the_outbox(lacking: Story, run: Run) -> None:
    """A bike that was called back for next week; no letter waits; half a year is the most."""
    bike = lacking.record.bike
    said = {"day": (NOW + timedelta(days=7)).date().isoformat(), "reason": "The chain.", "about": "chain"}
    Event.objects.create(
        at=NOW,
        by_id=lacking.first,
        kind="call-back set",
        key="back-test-1",
        fingerprint="",
        bike=bike,
        said=said,
    )
    weeks = run("due", "--weeks", "8", "--json").json["weeks"]
    assert [one["tag"] for week in weeks for one in week["bikes"]] == [bike.tag]
    assert "The chain." in run("due").out
    assert run("letters", "--json").json == []
    ran = run("due", "--weeks", "90")
    assert ran.code == 2 and "1 to 26" in ran.err
