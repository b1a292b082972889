"""A part that was fitted in this stay settles in the first kilometres: its bolts bring the bike back once, soon."""

from datetime import timedelta

import pytest

from pinchbolt.records.models import Bike
from pinchbolt.workshop.leaving.call_back import CallBack, call_back_for
from pinchbolt.workshop.torque.bolt_round import TickRequest, tick_joint
from pinchbolt.workshop.torque.record_done import DoneRequest, record_done
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests import story
from tests.story import NOW, STEM, TODAY, Story
from tests.workshop.build_story import part_on, replace

pytestmark = pytest.mark.django_db


def tightened(at: Story) -> None:
    """The stem's face is on the sheet of a safety check; it is done at its setting."""
    seen = next(one for one in torque_sheet(at.record, TODAY) if one.joint == STEM)
    assert seen.setting is not None
    asked = DoneRequest(at.job, STEM, int(seen.setting.tool), seen.setting.set)
    record_done(asked, by=at.first, key=at.key(), now=NOW)


def back(at: Story) -> CallBack | None:
    """When the bike is asked back."""
    return call_back_for(Bike.objects.get(tag=at.tag), NOW)


@pytest.fixture
def riding() -> Story:
    """A road bike that rides 50 km a week, at work."""
    at = story.on_a_stand()
    Bike.objects.filter(tag=at.tag).update(km_a_week=50.0)
    return at


def test_a_new_stem_comes_back_after_its_first_hundred_kilometres(riding: Story) -> None:
    """At 50 km a week that is a fortnight (common practice, no source)."""
    replace(riding, part_on(riding, "stem"), facts={"stem_kind": "two bolts", "face_bolts": 4})
    tightened(riding)
    found = back(riding)
    assert found is not None and found.day == TODAY + timedelta(days=14)
    assert "after the first 100 km" in found.reason


def test_a_stem_that_was_only_tightened_keeps_its_months(riding: Story) -> None:
    """Nothing of it is new, so nothing settles."""
    tightened(riding)
    found = back(riding)
    assert found is None or "first 100 km" not in found.reason


def test_once_tried_after_the_ride_it_is_done(riding: Story) -> None:
    """The tick of a later day ends it."""
    replace(riding, part_on(riding, "stem"), facts={"stem_kind": "two bolts", "face_bolts": 4})
    tightened(riding)
    tick_joint(
        TickRequest(riding.tag, STEM, True), by=riding.first, key=riding.key(), now=NOW + timedelta(days=3)
    )
    found = back(riding)
    assert found is None or "first 100 km" not in found.reason
