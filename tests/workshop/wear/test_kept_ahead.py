"""What was kept of a part is told for the days from today on, not from the day of its reading."""

from datetime import timedelta

import pytest

from pinchbolt.engines.wear import chance_by
from pinchbolt.records.models import Finding, Fitting
from pinchbolt.workshop.wear.kept_ahead import PartAhead, parts_ahead
from pinchbolt.workshop.wear.kept_forecast import kept_forecast
from tests.story import NOW, Story, checked_in, walked_round

pytestmark = pytest.mark.django_db


@pytest.fixture
def read(db: None) -> Story:
    """A bike whose chain is near its limit."""
    return walked_round(checked_in())


def ahead(at: Story, later: int, *days: float) -> dict[str, PartAhead]:
    """Parts of the bike that may be past their limit, seen so many days later, by what they are."""
    now = NOW + timedelta(days=later)
    return {one.part.kind: one for one in parts_ahead([at.record.bike_id], now, now.date(), days)}


def test_the_days_since_the_reading_count(read: Story) -> None:
    """Ten days later, a month from then is forty days from the reading."""
    finding = Finding.objects.filter(part__kind="chain", forecast__isnull=False).latest("pk")
    forecast = kept_forecast(finding.forecast)
    assert forecast is not None
    (chance,) = ahead(read, 10, 30.0)["chain"].chances
    (forty,), (thirty,) = chance_by(forecast, [40.0]), chance_by(forecast, [30.0])
    assert chance == pytest.approx(forty, rel=1e-12)
    assert forty > thirty


def test_a_part_that_came_off_is_no_part_of_the_plan(read: Story) -> None:
    """Only what is on its bike asks for anything."""
    assert "chain" in ahead(read, 10, 30.0)
    Fitting.objects.filter(part__kind="chain", end__isnull=True).update(end=NOW.date())
    assert "chain" not in ahead(read, 10, 30.0)


def test_whoever_was_not_here_for_two_years_is_left_out(read: Story) -> None:
    """After two years and a day nothing is said of them."""
    assert ahead(read, 729, 30.0)
    assert ahead(read, 731, 30.0) == {}
