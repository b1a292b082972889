"""A part like the one at the other end: what an eye tells is known of it, what is marked or measured is a guess until it is read."""

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Part
from pinchbolt.workshop.bikes.same_part import SameRequest, add_same
from tests.story import NOW, Story
from tests.workshop.build_story import add, fact, from_nothing, take_off

pytestmark = pytest.mark.django_db


@pytest.fixture
def front(db: None) -> tuple[Story, Part]:
    """A bike whose front rotor was looked at, read and measured."""
    at = from_nothing("city")
    add(at, "wheel", "front")
    add(at, "wheel", "rear")
    facts = {"rotor": 160, "rotor_kind": "six-bolt", "rotor_new_mm": 1.8}
    return at, add(at, "rotor", "front", facts)


def same(at: Story, part: Part, end: str) -> Part:
    """One like it there."""
    asked = SameRequest(part.pk, end)
    return Part.objects.get(pk=add_same(asked, by=at.first, key=at.key(), now=NOW).part)


def test_what_an_eye_tells_is_known_and_the_rest_is_a_guess(front: tuple[Story, Part]) -> None:
    """Six screws are seen; the diameter and how thick it was are written on the other one."""
    at, part = front
    rear = same(at, part, "rear")
    assert (rear.kind, rear.place) == ("rotor", "rear")
    told = {name: fact(at, rear, name) for name in ("rotor", "rotor_kind", "rotor_new_mm")}
    assert {name: (one.value, one.source) for name, one in told.items()} == {
        "rotor_kind": ("six-bolt", "read off the part"),
        "rotor": (160, "guess"),
        "rotor_new_mm": (1.8, "guess"),
    }


def test_what_was_a_guess_of_the_first_is_one_of_the_second(front: tuple[Story, Part]) -> None:
    """Nobody has looked at either."""
    at, _ = front
    mudguard = add(at, "pads", "front", {"pads": "resin"}, source="guess")
    assert fact(at, same(at, mudguard, "rear"), "pads").source == "guess"


def test_where_such_a_part_is_there_already_none_is_added(front: tuple[Story, Part]) -> None:
    """Nor from a part that is on no bike, nor at an end that there is not."""
    at, part = front
    same(at, part, "rear")
    with pytest.raises(NotPossibleNow):
        same(at, part, "rear")
    with pytest.raises(InputRefused):
        same(at, part, "middle")
    take_off(at, part)
    with pytest.raises(NotPossibleNow, match="is on no bike now: choose a part from the build sheet"):
        same(at, part, "front")
