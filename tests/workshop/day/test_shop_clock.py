"""The hours that a bike may be promised for: noon and the last whole hour, and of today what is an hour away."""

import pytest

from pinchbolt.records.models import Workshop
from pinchbolt.workshop.day._shop_clock import hours_to_promise
from tests.story import TODAY, open_shop

pytestmark = pytest.mark.django_db
DAY = 24 * 60


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    """Open from nine to half past five on Wednesdays and Thursdays, a half day on Fridays; today is a Wednesday."""
    open_shop()
    days = {"Wed": ("09:00", "17:30"), "Thu": ("09:00", "17:30"), "Fri": ("09:00", "13:00")}
    Workshop.objects.update(open_days=days)


def today(hour: float) -> list[float]:
    """Hours of today that may be promised at such an hour."""
    return [clock / 60 for clock in hours_to_promise(TODAY, hour * 60) if clock < DAY]


@pytest.mark.parametrize(
    ("now", "hours"),
    [
        # Every second hour from an hour on, and the last whole hour.
        (9.5, [11, 13, 15, 17]), (12.0, [14, 16, 17]), (15.0, [17]),
        # The last whole hour is promised while it is an hour away, not a minute less.
        (16.0, [17]), (16 + 1 / 60, []), (17.0, []),
    ],
)  # fmt: skip
def test_of_today_what_is_an_hour_away(now: float, hours: list[float]) -> None:
    """In hours of the day."""
    assert today(now) == hours


def test_of_other_days_noon_and_the_last_hour() -> None:
    """A half day has its end alone; closed days have none."""
    ahead = [divmod(clock / 60, 24) for clock in hours_to_promise(TODAY, 9 * 60) if clock >= DAY]
    assert ahead[:5] == [(1, 12), (1, 17), (2, 13), (7, 12), (7, 17)]
