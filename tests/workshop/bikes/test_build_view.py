"""What the build sheet shows of a part's facts: how each is known, what the owner says beside it, and what nobody has looked at."""

import pytest

from pinchbolt.engines.build import FactValue, PartOn
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.build_view import FactView, _facts, build_view_of
from tests.story import Story
from tests.workshop.build_story import describe, part_on

pytestmark = pytest.mark.django_db


def shown(at: Story, kind: str, fact: str) -> FactView:
    """A fact of the one part of a kind as the sheet shows it."""
    part = part_on(at, kind)
    return next(
        one
        for seen in build_view_of(at.tag).parts
        if seen.id == part.pk
        for one in seen.facts
        if one.fact == fact
    )


def test_what_a_template_says_is_to_be_looked_at_and_what_was_read_is_not(arrived: Story) -> None:
    """A stem of four bolts by the template, then counted."""
    before = shown(arrived, "stem", "face_bolts")
    assert before.to_look_at and not before.confirmed
    describe(arrived, part_on(arrived, "stem"), face_bolts=4)
    after = shown(arrived, "stem", "face_bolts")
    assert not after.to_look_at and after.confirmed and after.value == 4


def test_what_the_owner_says_otherwise_stands_beside_what_was_read(arrived: Story) -> None:
    """A chain that the owner takes for another one; where nothing was said, nothing stands there."""
    known = {
        "chain": FactValue("c11", "read off the part", "c12"),
        "sold_as": FactValue("x", "maker's sheet"),
    }
    seen = {one.fact: one for one in _facts(PartOn(1, kind_row("chain"), "", known), set())}
    assert seen["chain"].told == "c12"
    assert seen["sold_as"].told == ""
    assert {one.told for name, one in seen.items() if name not in known} == {""}
