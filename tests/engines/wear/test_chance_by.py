"""The chance by a day ahead: equal to the law's own where the forecast gives its days, close in between, never falling."""

from datetime import date, timedelta

import numpy as np
import pytest

from pinchbolt.engines.wear import GaugeError, GaugeReading, RateOfUse, WearLaw, chance_by, judge
from pinchbolt.engines.wear._days import Days
from pinchbolt.engines.wear._hunt import chance_of, grid_of
from pinchbolt.engines.wear._judge import sift
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Verdict

TODAY = date(2030, 5, 1)
LAW = WearLaw(
    "c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46, Verdict.NEXT_VISIT, False,
    "common practice, no source",
)  # fmt: skip
USE = RateOfUse(70.0, 0.5)
GAUGE = GaugeError(0.0, 0.02, 0.03)


def reading(value, km, days_ago=0):
    """A chain read so many days ago."""
    day = TODAY - timedelta(days=days_ago)
    return GaugeReading(day, Interval(value, value), "gauge", GAUGE, km, 0.15)


CASES = {
    "fresh": [reading(0.1, 400)],
    "half": [reading(0.2, 900, 90), reading(0.4, 1800)],
    "near": [reading(0.6, 2500)],
    "past": [reading(0.95, 4500)],
    "nothing read": [],
}


def by_the_law(readings, days):
    """The chance by the law itself, asked day by day."""
    seen = sift(LAW, readings, USE, TODAY, None, "told", None)
    grid = grid_of(seen.law)
    laid = chance_of(seen.law, np.ones(len(grid)), grid)
    used = seen.way.at[-1] if seen.way.at else 0.0
    return Days(seen.law, 1.0, laid, USE, LAW.width, used, LAW.bend).chance(np.array(days, dtype=float))


@pytest.mark.parametrize("name", [name for name in CASES if name != "nothing read"])
def test_close_to_the_law_on_every_day(name):
    """Within four hundredths over two years: points between two levels are joined by a straight probit."""
    forecast = judge(LAW, CASES[name], USE, TODAY)
    days = list(range(0, 730, 15))
    told = chance_by(forecast, days)
    assert max(abs(np.array(told) - by_the_law(CASES[name], days))) < 0.04


@pytest.mark.parametrize("name", CASES)
def test_never_falls_and_starts_at_todays_chance(name):
    """Wear only grows; today's own chance is the forecast's."""
    forecast = judge(LAW, CASES[name], USE, TODAY, exposure_now=2000.0)
    told = chance_by(forecast, range(0, 3000, 10))
    assert told[0] == forecast.chance_past_limit
    assert list(told) == sorted(told)
    assert all(0 <= one <= 1 for one in told)


def test_the_days_of_the_forecast_have_their_own_chance():
    """By the median day it is one in two."""
    forecast = judge(LAW, CASES["half"], USE, TODAY)
    median = (forecast.day_at_limit.median - TODAY).days
    assert chance_by(forecast, [median])[0] == pytest.approx(0.5, abs=1e-9)


def test_a_bike_that_stands_wears_out_in_no_year():
    """Hardly ridden: no day within ten years, so the chance by next month stays where it is."""
    forecast = judge(LAW, [reading(0.05, 200)], RateOfUse(0.5, 0.3), TODAY)
    assert forecast.day_at_limit.median is None
    assert chance_by(forecast, [30])[0] < 0.01


def test_a_day_gone_by_is_refused():
    """The forecast speaks of what is ahead."""
    with pytest.raises(InputRefused, match="0 days or more"):
        chance_by(judge(LAW, CASES["half"], USE, TODAY), [-1])
