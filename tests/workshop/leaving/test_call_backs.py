"""Who should be back: the newest call-back of each bike that is not here, however long the history is."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from pinchbolt.records.models import Event, Job
from pinchbolt.workshop.bikes.change_build import ReplaceRequest, replace
from pinchbolt.workshop.leaving.call_back import call_back_for, call_backs
from tests import story
from tests.story import NOW, Story
from tests.workshop.build_story import part_on

pytestmark = pytest.mark.django_db


def called_back(at: Story, days: int, *, set_days_ago: int = 0, name: str = "") -> None:
    """A call-back was set for this bike."""
    Event.objects.create(
        at=NOW - timedelta(days=set_days_ago),
        by_id=at.first,
        kind="call-back set",
        key=f"back-{at.job}-{days}-{name}",
        fingerprint="",
        job=at.record,
        bike=at.record.bike,
        said={
            "day": (NOW + timedelta(days=days)).date().isoformat(),
            "reason": f"in {days} days",
            "about": "chain",
        },
    )


def told() -> list[tuple[str, str, bool]]:
    """What the shop day lists."""
    return [(one.tag, one.call_back.reason, one.is_past) for one in call_backs(NOW)]


def test_the_newest_call_back_counts_and_the_soonest_stands_first() -> None:
    """Two stays of one bike, and another bike."""
    first, second = story.checked_in("child"), story.checked_in("child")
    called_back(first, 5)
    called_back(first, 90)
    called_back(second, -3)
    assert told() == [(second.tag, "in -3 days", True), (first.tag, "in 90 days", False)]


def test_a_bike_that_came_is_not_called_back() -> None:
    """Its check-in came after the call-back was set."""
    at = story.checked_in("child")
    called_back(at, 5)
    Event.objects.create(
        at=NOW,
        by_id=at.first,
        kind="checked in",
        key="came-back",
        fingerprint="",
        bike=at.record.bike,
        said={},
    )
    assert told() == []


def test_whoever_was_not_here_for_two_years_is_not_called_any_more() -> None:
    """The list does not grow for ever."""
    at = story.checked_in("child")
    called_back(at, -640, set_days_ago=729)
    assert len(told()) == 1
    other = story.checked_in("child")
    called_back(other, -640, set_days_ago=731)
    assert len(told()) == 1


def test_a_long_history_asks_no_more_of_the_records() -> None:
    """Two questions, one for what was said since; they read the newest of each bike: four hundred call-backs of three are three."""
    all_here = [story.checked_in("child") for _ in range(3)]
    for at in all_here:
        called_back(at, 1, name="last")
    with CaptureQueriesContext(connection) as few:
        before = told()
    first = all_here[0]
    Event.objects.bulk_create(
        Event(
            at=NOW - timedelta(days=400),
            by_id=first.first,
            kind="call-back set",
            key=f"old-{n}",
            fingerprint="",
            bike=Job.objects.get(pk=all_here[n % 3].job).bike,
            said={"day": "2026-01-01", "reason": "old", "about": "chain"},
        )
        for n in range(400)
    )
    for at in all_here:
        called_back(at, 1, name="newest")
    with CaptureQueriesContext(connection) as many:
        assert told() == before
    assert len(few) == len(many) == 2


@pytest.mark.parametrize(
    ("kind", "end"), [("chain", ""), ("pads", "front"), ("pads", "rear"), ("rotor", "front")]
)
def test_what_was_fitted_today_is_not_called_back_tomorrow(kind: str, end: str) -> None:
    """Written down first: a new chain or rotor is not looked at again within a month, new pads not within two weeks of usual riding."""
    at = story.checked_in()
    replace(ReplaceRequest(part_on(at, kind, end).pk), by=at.first, key=at.key(), now=NOW)
    back = call_back_for(at.record.bike, NOW)
    least = timedelta(days=14 if kind == "pads" else 30)
    assert back is None or back.day >= NOW.date() + least, back
