"""Stocktake: what stands on the list of the shelves, and in which order it is counted."""

from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.records.models import BinPart
from pinchbolt.workshop.bikes.change_build import TakeOffRequest, take_off
from pinchbolt.workshop.parts.stocktake import CountRequest, count_bin, shelves
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from tests import story
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import part_on

FILE = (
    "number,kind,words,price,count,bin\n"
    "CH-11,chain,chain 11 speed,36.00,4,A3\n"
    "PAD-2,disc pads,pads of shape 2,12.00,2,B1\n"
    "LOOSE,chain,chain of no bin,12.00,1,\n"
)


@pytest.fixture
def stocked(db: None) -> Story:
    """Two numbers in a bin, one that lies nowhere in particular."""
    on = story.checked_in()
    take_in_parts(PartsRequest(FILE), by=on.first, key=on.key(), now=NOW)
    return on


def count(on: Story, number: str, found: int, days: int = 0) -> str:
    """Counted on a day; what it came to."""
    asked = CountRequest(number, found)
    return count_bin(asked, by=on.first, key=on.key(), now=NOW + timedelta(days=days)).words


def test_what_has_a_bin_is_counted_by_its_bin(stocked: Story) -> None:
    """Never counted, so in the order of the shelves; what has no bin is looked for nowhere."""
    assert [(one.part.number, one.counted) for one in shelves(NOW)] == [("CH-11", None), ("PAD-2", None)]
    assert [one.part.number for one in shelves(NOW, of_bin="B1")] == ["PAD-2"]


def test_a_used_part_in_a_bin_is_not_on_the_list(stocked: Story) -> None:
    """It is one of its kind: it lies there or it does not, and nobody counts a shelf of it."""
    off = TakeOffRequest(part_on(stocked, "chain").pk, "bins", price=Decimal("5.00"))
    take_off(off, by=stocked.first, key=stocked.key(), now=NOW)
    assert BinPart.objects.filter(used_part__isnull=False).update(bin="A1") == 1
    assert [one.part.number for one in shelves(NOW)] == ["CH-11", "PAD-2"]
    assert shelves(NOW, of_bin="A1") == ()


def test_what_was_counted_comes_after_what_never_was(stocked: Story) -> None:
    """With the day on which it was; the difference to the book in words."""
    assert count(stocked, "CH-11", 3) == "counted 3, book says 4: 1 missing"
    assert [(one.part.number, one.counted) for one in shelves(NOW)] == [("PAD-2", None), ("CH-11", TODAY)]
    assert count(stocked, "PAD-2", 2, days=1) == "counted 2, book says 2: as the book says"
    tomorrow = TODAY + timedelta(days=1)
    assert [(one.part.number, one.counted) for one in shelves(NOW)] == [("CH-11", TODAY), ("PAD-2", tomorrow)]
