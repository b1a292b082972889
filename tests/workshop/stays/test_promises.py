"""A promise is moved with a reason, the owner is told of it once, and it lies on a day on which somebody is here."""

from datetime import date, datetime, timedelta

import pytest
from django.utils import timezone

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Person, Role
from pinchbolt.workshop.acts.describe_shop import ClosedRequest, DaysRequest, close_days, set_days
from pinchbolt.workshop.stays.promise import (
    PromiseRequest,
    ToldRequest,
    open_days_ahead,
    promise,
    promise_of,
    promises_before,
    tell_owner,
)
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db
FRIDAY = timezone.make_aware(datetime(2026, 11, 27, 16))
NEXT_WEEK = timezone.make_aware(datetime(2026, 12, 1, 16))


def moved(
    at: Story, to: datetime | None, why: str = "more work", told: str = "not yet", odds: float | None = None
) -> None:
    """The promise is another one."""
    promise(PromiseRequest(at.job, to, why, told, odds), by=at.first, key=at.key(), now=NOW)


def told(at: Story, how: str = "by phone") -> None:
    """The owner knows."""
    tell_owner(ToldRequest(at.job, how), by=at.first, key=at.key(), now=NOW)


def test_a_moved_promise_says_why_and_waits_for_the_owner_to_be_told(arrived: Story) -> None:
    """Once told, it is not told again; a further one is news again; what held before is kept in order."""
    first = arrived.record.promise
    seen = promise_of(arrived.record)
    assert (seen.at, seen.why, seen.is_told, seen.odds) == (first, "", True, None)
    moved(arrived, NEXT_WEEK, "waits for a part", odds=0.8)
    seen = promise_of(arrived.record)
    assert (seen.at, seen.why, seen.is_told, seen.by) == (
        NEXT_WEEK,
        "waits for a part",
        False,
        "Ines Holloway",
    )
    assert seen.odds == 0.8
    told(arrived)
    assert promise_of(arrived.record).is_told
    with pytest.raises(NotPossibleNow, match="The owner knows of the promise already"):
        told(arrived)
    moved(arrived, FRIDAY, told="by text")
    assert promise_of(arrived.record).is_told
    assert [one.at for one in promises_before(arrived.record)] == [first, NEXT_WEEK]


def test_nothing_promised_is_a_promise_too(arrived: Story) -> None:
    """Taken away, with why; the day before stays in the history."""
    first = arrived.record.promise
    moved(arrived, None, "waits for the owner")
    seen = promise_of(arrived.record)
    assert (seen.at, seen.why, seen.is_told) == (None, "waits for the owner", False)
    assert [one.at for one in promises_before(arrived.record)] == [first]


@pytest.mark.parametrize(
    ("why", "how", "sentence"),
    [
        ("rain", "not yet", 'The reason is "rain": waits for a part, waits for the owner, more work'),
        ("more work", "by pigeon", 'Whether the owner knows is "by pigeon": by phone'),
    ],
)
def test_a_reason_of_no_list_is_refused(arrived: Story, why: str, how: str, sentence: str) -> None:
    """With the list."""
    with pytest.raises(InputRefused, match=sentence):
        moved(arrived, FRIDAY, why, how)
    with pytest.raises(InputRefused, match='How the owner was told is "not yet"'):
        told(arrived, "not yet")


@pytest.fixture
def closed(arrived: Story) -> Story:
    """Open from Tuesday to Saturday, but not on Friday, 27 November 2026; today is a Wednesday."""
    Person.objects.filter(pk=arrived.first).update(role=Role.OWNER)
    week = dict.fromkeys(("Tue", "Wed", "Thu", "Fri", "Sat"), ("09:00", "17:30"))
    set_days(DaysRequest(week, 3), by=arrived.first, key=arrived.key(), now=NOW)
    off = ClosedRequest(date(2026, 11, 27), date(2026, 11, 27), "stocktake")
    close_days(off, by=arrived.first, key=arrived.key(), now=NOW)
    return arrived


def test_six_open_days_are_offered(closed: Story) -> None:
    """From today on; neither the closed Friday nor Sunday and Monday."""
    said = [f"{day:%a} {day.day}" for day in open_days_ahead(NOW)]
    assert said == ["Wed 25", "Thu 26", "Sat 28", "Tue 1", "Wed 2", "Thu 3"]
    assert open_days_ahead(NOW, 2) == (TODAY, TODAY + timedelta(days=1))


def test_where_nobody_said_which_days_every_day_is_open(arrived: Story) -> None:
    """A week of seven days."""
    assert open_days_ahead(NOW, 7) == tuple(TODAY + timedelta(days=ahead) for ahead in range(7))


def test_a_closed_day_is_refused_and_the_next_open_one_named(closed: Story) -> None:
    """Of the closed Friday it is the Saturday."""
    with pytest.raises(InputRefused) as refused:
        moved(closed, FRIDAY)
    assert refused.value.sentence == "Friday is closed. Saturday 28 Nov is open: choose it, or another day."
    assert set(refused.value.errors) == {"day", "promise"}
    moved(closed, NEXT_WEEK)
