"""Rides to stretches, files beside statements, errors that are shared, and the seasons of a week."""

from datetime import date, timedelta
from math import cos, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.use import (
    Stay,
    Stretch,
    merged,
    reconciled,
    stretches_of_rides,
    use_between,
    weekly_use,
)
from pinchbolt.errors import InputRefused

FIRST = date(2024, 1, 1)


def day(number: int) -> date:
    """The day that many days after new year 2024."""
    return FIRST + timedelta(days=number)


def test_a_holiday_is_known_as_nothing_and_a_long_silence_is_not_known():
    """35 days without a ride are 35 days of 0 km; 36 are days that nobody spoke for."""
    ridden = stretches_of_rides("road", {day(0): 40.0, day(36): 60.0, day(73): 50.0}, 0.02)
    whole = use_between([Stay("road", day(-1), None)], ridden, day(-1), day(73))
    assert (whole.km, whole.days, whole.days_unknown) == (150.0, 74, 36)


def test_an_error_that_all_rides_share_does_not_average_out():
    """100 rides of 30 km by a wheel set 2 % wrong: 60 km of 3,000, not 6."""
    rides = stretches_of_rides("road", {day(number): 30.0 for number in range(100)}, 0.02)
    assert use_between([Stay("road", day(-1), None)], rides, day(-1), day(99)).sd == pytest.approx(
        60.0, rel=1e-12
    )


def test_a_ride_that_cannot_be_is_refused():
    """Below nothing, and no number."""
    with pytest.raises(
        InputRefused, match=r"^distance of road on 2024-01-01 is -1 km: 0 or more is possible"
    ):
        stretches_of_rides("road", {day(0): -1.0}, 0.02)


days_ridden = st.dictionaries(st.integers(1, 120), st.floats(0, 200), max_size=30)
words = st.lists(st.tuples(st.integers(0, 120), st.integers(1, 60), st.floats(0, 3000)), max_size=4)


@given(ridden=days_ridden, told=words)
def test_beside_statements_no_kilometre_of_a_file_is_lost(ridden, told):
    """Every day counts once, days with files by the files, and what is left of a statement is never below nothing."""
    files = stretches_of_rides("road", {day(number): km for number, km in ridden.items()}, 0.02)
    said, at = [], 0
    for gap, long, km in told:
        said.append(Stretch("road", day(at + gap), day(at + gap + long), km, 0.15, "owner's word"))
        at += gap + long
    both = reconciled(files, said)
    by_files = [one for one in both.stretches if one.known == "ride files"]
    assert sum(one.km for one in by_files) == pytest.approx(sum(ridden.values()), rel=1e-12, abs=1e-12)
    assert all(one.km >= 0 for one in both.stretches)
    # Stretches that held a day both would be refused here.
    whole = use_between([Stay("road", day(-1), None)], both.stretches, day(-1), day(1000))
    assert whole.km == pytest.approx(sum(one.km for one in both.stretches), rel=1e-12, abs=1e-12)
    assert len(both.differences) <= len(said)


def test_what_is_left_of_a_statement_carries_both_errors():
    """Said 300 +- 45 km for 10 days; files 100 km +- 2 for 5 of them: 200 km +- sqrt(45^2 + 2^2) are left."""
    told = Stretch("road", day(0), day(10), 300.0, 0.15, "owner's word")
    files = stretches_of_rides("road", {day(1): 50.0, day(5): 50.0}, 0.02)
    rest = [one for one in reconciled(files, [told]).stretches if one.known == "owner's word"]
    assert sum(one.km for one in rest) == pytest.approx(200.0, rel=1e-12)
    assert sum(one.km * one.sd_share for one in rest) == pytest.approx((45.0**2 + 2.0**2) ** 0.5, rel=1e-12)


def test_a_statement_that_files_overtake_keeps_its_pace():
    """Said 100 km for 10 days; files 150 km for 5 of them: the other 5 get half of what was said, known to 0.3."""
    told = Stretch("road", day(0), day(10), 100.0, 0.15, "owner's word")
    files = stretches_of_rides("road", {day(1): 75.0, day(5): 75.0}, 0.02)
    both = reconciled(files, [told])
    (rest,) = [one for one in both.stretches if one.known == "owner's word"]
    assert (rest.km, rest.sd_share) == (50.0, 0.3)
    assert not both.differences[0].agree


def year_round(years: int) -> tuple[Stretch, ...]:
    """Rides each day, three times as far in July as in January: 10 km (1 - 0.5 cos)."""
    km = {
        day(number): 10 * (1 - 0.5 * cos(2 * pi * (number % 365.25) / 365.25))
        for number in range(365 * years + 1)
    }
    return stretches_of_rides("road", km, 0.0)


def coming(years: int, day_of_year: int) -> float:
    """The week expected on a day of the year, after so many years of the curve."""
    today = day(round(365.25 * years) + day_of_year)
    rides = [one for one in year_round(years + 1) if one.end <= today]
    return weekly_use(rides, today, 70.0, 0.5).median_km


# Mean of the curve over April to September is 70 (1 + 1/pi) km a week, over October to March 70 (1 - 1/pi).
SUMMER, WINTER = 70 * (1 + 1 / pi), 70 * (1 - 1 / pi)


def test_the_coming_months_have_their_season():
    """After eight years a spring expects the summer's weeks and an autumn the winter's, within 8 %."""
    assert coming(8, 91) == pytest.approx(SUMMER, rel=0.08)
    assert coming(8, 274) == pytest.approx(WINTER, rel=0.08)


def test_a_season_seen_twice_is_believed_by_half_at_least():
    """Two years of it: the answer is nearer to the season than to no season, and never beyond it."""
    assert (70 + SUMMER) / 2 - 2 < coming(2, 91) < SUMMER
    assert WINTER - 2 < coming(2, 274) < (70 + WINTER) / 2


def test_the_months_of_a_season_make_a_year():
    """Twelve shares of a usual month with mean 1, July at one and a half."""
    rides = year_round(8)
    season = weekly_use(rides, rides[-1].end, 70.0, 0.5).season
    assert sum(season) == pytest.approx(12.0, rel=1e-9)
    assert season[6] == pytest.approx(1.5, abs=0.1)


def test_less_than_a_year_tells_no_season():
    """Half a year of rides: no month is held against another."""
    rides = [one for one in year_round(1) if one.end <= day(180)]
    assert weekly_use(rides, day(180), 70.0, 0.5).season == ()


def test_riding_more_than_last_year_is_said():
    """100 km a week, then 150: half as much again, to a few hundredths for the edges of the years."""
    km = {day(number): (100.0 if number < 365 else 150.0) / 7 for number in range(730)}
    week = weekly_use(stretches_of_rides("road", km, 0.0), day(729), 70.0, 0.5)
    assert week.trend_a_year == pytest.approx(0.5, abs=0.02)
    assert "50 % more than in the year before" in week.words


def test_an_injury_is_no_slow_riding():
    """Three months off in the middle: the week is still that of riding, within the weights of half a year."""
    km = {day(number): 20.0 for number in range(300) if not 120 <= number < 210}
    with_gap = weekly_use(stretches_of_rides("road", km, 0.0), day(299), 70.0, 0.5)
    assert with_gap.median_km == pytest.approx(140.0, rel=0.1)


@given(ridden=days_ridden, asked=st.lists(st.integers(0, 125), min_size=1, max_size=6))
def test_fewer_stretches_say_the_same_on_the_days_asked(ridden, asked):
    """Merged between the days asked: kilometres, spread and unknown days are those of all the single days."""
    rides = stretches_of_rides("road", {day(number): km for number, km in ridden.items()}, 0.02)
    fewer = merged(rides, [day(number) for number in asked])
    assert len(fewer) <= len(rides)
    for number in asked:
        whole = use_between([Stay("road", day(-1), None)], rides, day(-1), day(number))
        same = use_between([Stay("road", day(-1), None)], fewer, day(-1), day(number))
        assert (same.km, same.sd) == (pytest.approx(whole.km, rel=1e-12), pytest.approx(whole.sd, rel=1e-12))
        assert (same.days, same.days_unknown) == (whole.days, whole.days_unknown)


def test_ten_years_of_days_become_a_handful_of_stretches():
    """A ride each day of ten years, asked about at two days: three stretches."""
    rides = stretches_of_rides("road", {day(number): 20.0 for number in range(3650)}, 0.02)
    assert len(merged(rides, [day(1000), day(2000)])) == 3


def test_a_single_ride_that_was_said_and_recorded_counts_by_its_file():
    """Said: 30 km on the third. The file of that day holds 40: 40 km, not 70; a single ride without a file keeps its word."""
    said = [
        Stretch("road", day(3), day(3), 30.0, 0.15, "owner's word"),
        Stretch("road", day(9), day(9), 8.0, 0.15, "guess"),
    ]
    both = reconciled(stretches_of_rides("road", {day(3): 40.0}, 0.02), said)
    assert use_between([Stay("road", day(0), None)], both.stretches, day(0), day(20)).km == pytest.approx(
        48.0, rel=1e-12
    )
    assert [one.files_km for one in both.differences] == [40.0]
