"""What is marked on the parts of a bike, told of the parts that are asked about."""

import pytest

from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest, mark_limit
from pinchbolt.workshop.bikes.marked_here import marks_of
from tests.story import NOW
from tests.workshop.build_story import bike, part_on

pytestmark = pytest.mark.django_db

ROTOR = "rotor-thickness-1.8"


def test_marks_are_told_of_the_parts_asked_about_and_of_no_other() -> None:
    """'Min. th. 1.55' is read off the front rotor: asked of the front one it is told, the rear one has none, asked of none nothing is."""
    there = bike()
    front, rear = part_on(there, "rotor", "front"), part_on(there, "rotor", "rear")
    mark_limit(MarkLimitRequest(front.pk, ROTOR, 1.55), by=there.first, key=there.key(), now=NOW)
    for rotor, marked in ((front, 1.55), (rear, None)):
        told = marks_of(there.record.bike, {rotor.pk})
        assert {part for part, _ in told} == {rotor.pk}
        assert told[rotor.pk, ROTOR].marked == marked
    assert marks_of(there.record.bike, set()) == {}
