"""A part that was fitted in this stay settles in the first kilometres: its bolts bring the bike back once, soon."""

from datetime import timedelta

import pytest

from pinchbolt.records.models import Bike, Reading
from pinchbolt.workshop.leaving.call_back import CallBack, call_back_for
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
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


def back(at: Story, days: int = 0) -> CallBack | None:
    """When the bike is asked back, by what is known so many days later."""
    return call_back_for(Bike.objects.get(tag=at.tag), NOW + timedelta(days=days))


@pytest.fixture
def riding() -> Story:
    """A road bike that rides 50 km a week, at work."""
    at = story.on_a_stand()
    Bike.objects.filter(tag=at.tag).update(km_a_week=50.0)
    # Nothing else asks for it: its bolts alone bring it back.
    Reading.objects.all().delete()
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


def test_what_waits_here_for_its_owner_rides_nowhere_meanwhile(riding: Story) -> None:
    """Three weeks on the peg: the fortnight begins when it rides away, and is not over before."""
    replace(riding, part_on(riding, "stem"), facts={"stem_kind": "two bolts", "face_bolts": 4})
    tightened(riding)
    found = back(riding, days=21)
    assert found is not None and found.day == TODAY + timedelta(days=21 + 14)


def test_a_new_stem_that_rode_and_was_never_tried_again_is_not_forgotten(riding: Story) -> None:
    """It left, its fortnight went by, and it is here for something else: nobody has written down that it was tried."""
    replace(riding, part_on(riding, "stem"), facts={"stem_kind": "two bolts", "face_bolts": 4})
    tightened(riding)
    hand_over(
        HandOverRequest(riding.job, acknowledged=True, as_unsafe=True),
        by=riding.first,
        key=riding.key(),
        now=NOW,
    )
    found = back(riding, days=40)
    assert found is not None and found.day == TODAY + timedelta(days=41)
    assert "Nobody has written down" in found.reason


def test_the_months_count_from_the_last_time_it_was_tightened_or_tried(riding: Story) -> None:
    """A stem's face every three months (common practice, no source): the first done value says nothing after the second."""
    tightened(riding)
    first = back(riding)
    assert first is not None and first.about.startswith("stem face plate")
    tick_joint(
        TickRequest(riding.tag, STEM, True), by=riding.first, key=riding.key(), now=NOW + timedelta(days=60)
    )
    then = back(riding, days=60)
    assert then is not None and then.about == first.about
    assert 58 <= (then.day - first.day).days <= 62


def test_months_that_are_over_are_said_and_not_dropped(riding: Story) -> None:
    """Tightened long ago and never tried since: within a month, with the day on which it was due."""
    tightened(riding)
    first = back(riding)
    assert first is not None
    late = back(riding, days=800)
    assert late is not None and late.day == TODAY + timedelta(days=800 + 30)
    assert f"{first.day:%d %b %Y}" in late.reason
