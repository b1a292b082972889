"""A hang tag that is lost: said once, found again, or another one is given; the bike is found by either."""

import pytest

from pinchbolt.errors import NotPossibleNow
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.came_up.bike_tags import (
    TagFoundRequest,
    TagLostRequest,
    find_tag,
    is_lost,
    lose_tag,
)
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def lost(at: Story, *, new: bool = False) -> str:
    """The tag is not there; the tag that the bike has now."""
    return lose_tag(TagLostRequest(at.job, new), by=at.first, key=at.key(), now=NOW)


def found(at: Story) -> None:
    """It lay under the bench."""
    find_tag(TagFoundRequest(at.job), by=at.first, key=at.key(), now=NOW)


def test_a_tag_is_lost_once_and_found_once(arrived: Story) -> None:
    """What is not lost can't be found; what is lost is not lost again; after it was found it can be."""
    bike = arrived.record.bike
    with pytest.raises(NotPossibleNow, match=f"{bike.tag} is not lost"):
        found(arrived)
    assert lost(arrived) == bike.tag and is_lost(bike)
    with pytest.raises(NotPossibleNow, match=f"{bike.tag} is lost already"):
        lost(arrived)
    found(arrived)
    assert not is_lost(bike)
    assert lost(arrived) == bike.tag and is_lost(bike)


def test_a_new_tag_takes_the_place_of_a_lost_one(arrived: Story) -> None:
    """By the old tag and by the new one it is the same bike, and nothing is lost any more."""
    old = arrived.record.bike.tag
    lost(arrived)
    new = lost(arrived, new=True)
    assert new != old
    assert bike_by_tag(old) == bike_by_tag(new) == arrived.record.bike
    assert arrived.record.bike.tag == new and not is_lost(arrived.record.bike)
