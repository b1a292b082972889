"""Why an item is on a bike's safety list, in words that a mechanic would use."""

import pytest

from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.why_listed import why_listed
from pinchbolt.workshop.leaving.sign_off import items_for
from tests.story import Story
from tests.workshop.build_story import add, bike, confirm, describe, from_nothing, part_on, take_off

pytestmark = pytest.mark.django_db


def why(there: Story) -> dict[str, tuple[str, ...]]:
    """What puts each item on the list."""
    build = build_of(there.record.bike)
    return {item.id: why_listed(build, item) for item in items_for(there.record.bike)}


def test_each_item_says_which_part_brings_it() -> None:
    """A part by its kind and end, with the word that decides; a state of the bike; or every bike."""
    there = bike("road-disc")
    told = why(there)
    assert told["so-brake-rear"] == ("rear brake, what the brake works on: disc",)
    assert told["so-rotor"] == ("disc brake",)
    assert told["so-headset"] == ("every bike",)
    assert all(told.values()), [item for item, words in told.items() if not words]


def test_a_brake_that_is_not_there_is_why() -> None:
    """Nothing brakes behind: that itself is the reason."""
    there = bike("track")
    assert why(there)["so-no-rear-brake"] == ("no brake behind",)


def test_what_nobody_knows_is_said_as_that() -> None:
    """A brake of which nobody has said what it works on; a wheel of which nobody has said how it is held."""
    there = from_nothing("city")
    add(there, "brake", "front")
    told = why(there)
    assert told["so-brake-front"] == ("not known yet: front brake, what the brake works on",)
    assert told["so-wheel-front"] == ("nobody has seen yet how it is held",)
    describe(there, part_on(there, "brake", "front"), stops_on="rim")
    assert why(there)["so-brake-front"] == ("front brake, what the brake works on: rim",)


def test_pedals_that_hands_have_seen_to_be_missing_are_not_asked_for() -> None:
    """Brought without pedals: on the list until the corner was confirmed so."""
    there = bike("road-disc")
    take_off(there, part_on(there, "pedals"), "owner")
    assert why(there)["so-pedals"] == ("nobody has seen yet how it is held",)
    confirm(there)
    assert "so-pedals" not in why(there)
