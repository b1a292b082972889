"""Bills on the command line: the list, the file for the books, taking one back, and the terms that they follow."""

import csv
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest

from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from tests import story
from tests.cli.conftest import Run
from tests.story import NOW, Story


@pytest.fixture
def billed(db: None) -> Story:
    """A bike handed over with its bill."""
    told = story.answered(story.priced(story.walked_round(story.checked_in())))
    gone = story.signed_off(story.worked(told))
    hand_over(
        HandOverRequest(gone.job, acknowledged=True, paid="cash"), by=gone.first, key=gone.key(), now=NOW
    )
    return gone


SPAN = ("--from", f"{NOW:%Y}-01-01", "--to", f"{NOW:%Y}-12-31")


def test_bills_are_listed_and_written_for_the_books(billed: Story, run: Run, tmp_path: Path) -> None:
    """The file's rows add up to the list's totals; a file that is there is not written over."""
    listed = run("bills", *SPAN, "--json").json
    assert [one["number"] for one in listed] == [f"{NOW:%Y}-0001"]
    file = tmp_path / "bills.csv"
    assert run("bills", *SPAN, "--csv", "-o", str(file)).code == 0
    rows = list(csv.DictReader(StringIO(file.read_text(encoding="utf-8"))))
    assert rows and f"{NOW:%Y}-0001" in file.read_text(encoding="utf-8")
    assert str(Decimal(listed[0]["total"])) in file.read_text(encoding="utf-8")
    again = run("bills", *SPAN, "--csv", "-o", str(file))
    assert again.code == 2 and "nothing is overwritten" in again.err


def test_a_bill_is_taken_back_by_a_bill_of_its_own(billed: Story, run: Run) -> None:
    """The two together are nought; a number that is none is refused in a sentence."""
    number = f"{NOW:%Y}-0001"
    assert run("bills", "reverse", number, "wrong owner", "--as", "ines").code == 0
    totals = [Decimal(one["total"]) for one in run("bills", *SPAN, "--json").json]
    assert len(totals) == 2 and sum(totals) == 0
    ran = run("bills", "reverse", "2026-9999", "wrong", "--as", "ines")
    assert ran.code == 2 and "2026-9999" in ran.err


def test_terms_of_bills_are_shown_and_refused_where_they_are_none(billed: Story, run: Run) -> None:
    """Nobody changes them by looking; a tax that is no figure is asked again."""
    shown = run("bill-terms", "--json").json
    assert run("bill-terms", "--json").json == shown
    ran = run("bill-terms", "--tax", "much", "--as", "ines")
    assert ran.code == 2 and 'tax is "much"' in ran.err
