"""How far a bike goes in a week."""

from datetime import date, timedelta
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.use import Stretch, weekly_use
from pinchbolt.errors import InputRefused

TODAY = date(2026, 9, 1)


def weeks_ago(start: float, end: float, km: float, sd_share: float = 0.02, host: str = "bike") -> Stretch:
    """A stretch that began and ended so many weeks ago."""
    return Stretch(
        host, TODAY - timedelta(days=7 * start), TODAY - timedelta(days=7 * end), km, sd_share, "ride files"
    )


def test_nothing_known_gives_the_usual_back():
    """No distance: the usual median and spread, and the sentence says that nothing of this bike is known."""
    use = weekly_use((), TODAY, 70.0, 0.5)
    assert (use.median_km, use.log_sd, use.weeks_known) == (70.0, 0.5, 0.0)
    assert use.words == "70 km a week is usual for such riding; no distances of this bike are known."


def test_a_little_known_changes_little_and_much_forgets_the_usual():
    """140 km a week against a usual of 70: one week moves it a part of the way, two years nearly all, and narrow it."""
    day, month, years = (weekly_use([weeks_ago(n, 0, 140.0 * n)], TODAY, 70.0, 0.5) for n in (1 / 7, 4, 104))
    assert 70 < day.median_km < 80 < month.median_km < years.median_km < 140
    assert years.median_km > 130
    assert 0.5 >= day.log_sd > month.log_sd > years.log_sd > 0.15
    assert years.weeks_known == pytest.approx(104)


def test_recent_weeks_count_most():
    """Half a year each: 100 then 20 km a week is less than 20 then 100."""
    slower = weekly_use([weeks_ago(52, 26, 2600), weeks_ago(26, 0, 520)], TODAY, 70.0, 0.5)
    faster = weekly_use([weeks_ago(52, 26, 520), weeks_ago(26, 0, 2600)], TODAY, 70.0, 0.5)
    assert slower.median_km < 55 < faster.median_km


def test_a_week_one_half_life_old_counts_half():
    """By hand: two single weeks, 26 weeks apart, at 0 and 90 km. Drawn to no usual, their mean is a third of 90."""
    use = weekly_use([weeks_ago(1, 0, 0.0, 0.0), weeks_ago(27, 26, 90.0, 0.0)], TODAY, 0.1, 3.0)
    variance = exp(use.log_sd**2) - 1
    prior_weeks, prior_mean = 0.49 / (exp(9) - 1), 0.1 * exp(4.5)
    week = 26 / log(2) * (1 - 2 ** (-1 / 26))
    expected = (prior_weeks * prior_mean + week * 90 / 2) / (prior_weeks + 1.5 * week)
    assert use.median_km * (1 + variance) ** 0.5 == pytest.approx(expected, rel=1e-12)
    assert expected == pytest.approx(30, rel=0.01)


def test_an_owners_word_is_wider_than_ride_files():
    """The same distance with a spread of 15 % leaves more doubt than with 2 %."""
    word, files = (weekly_use([weeks_ago(26, 0, 2000, share)], TODAY, 70.0, 0.5) for share in (0.15, 0.02))
    assert word.median_km < files.median_km
    assert word.log_sd > files.log_sd


def test_a_bike_that_stood_still_is_expected_to_go_little():
    """Half a year without a kilometre: far below the usual, yet not nothing."""
    assert 0 < weekly_use([weeks_ago(26, 0, 0.0)], TODAY, 70.0, 0.5).median_km < 10


def test_single_rides_tell_no_weeks():
    """A ride on one day says nothing of the days between: the usual is given back."""
    assert weekly_use([weeks_ago(1, 1, 120.0)], TODAY, 70.0, 0.5).median_km == 70.0


@pytest.mark.parametrize("known_weeks", [1, 4, 13, 52])
def test_four_fifths_of_riders_fall_inside_the_80_percent_interval(known_weeks):
    """4,000 riders drawn from the assumptions; the next 13 weeks lie in the interval at least as often as it says.

    Drawn: usual 70 km, log sd 0.5, weeks of variation 0.7, distances known to 2 %, habits that do not change. The
    answer allows for habits that do and is asked about the long run, so it may cover more; 13 future weeks add their
    own chance, so it may cover less. Hence the bounds of 70 and 95 %; the standard error of 4,000 is 0.6 %.
    """
    random = np.random.default_rng(7 + known_weeks)
    inside = []
    for mean in 70.0 * np.exp(random.normal(0, 0.5, size=4000)):
        past, future = (random.gamma(1 / 0.49, 0.49 * mean, n) for n in (known_weeks, 13))
        told = past.sum() * random.normal(1, 0.02)
        use = weekly_use([weeks_ago(known_weeks, 0, told)], TODAY, 70.0, 0.5)
        inside.append(abs(log(future.mean() / use.median_km)) <= 1.2816 * use.log_sd)
    assert 0.70 <= np.mean(inside) <= 0.95


@given(st.integers(1, 200), st.floats(0, 900), st.floats(0, 0.5), st.floats(10, 200), st.floats(0.1, 1.0))
def test_the_answer_lies_between_the_usual_and_what_was_ridden(weeks, km, share, usual, log_sd):
    """The mean is drawn between its two sources, and the spread is never more than doubt and error together."""
    use = weekly_use([weeks_ago(weeks, 0, km * weeks, share)], TODAY, usual, log_sd)
    mean = use.median_km * exp(use.log_sd**2 / 2)
    ends = sorted((km, usual * exp(log_sd**2 / 2)))
    assert ends[0] * (1 - 1e-9) <= mean <= ends[1] * (1 + 1e-9)
    assert use.log_sd > 0
    assert exp(use.log_sd**2) - 1 <= exp(log_sd**2) - 1 + share**2 + 0.15**2 + 1e-9


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            ([weeks_ago(2, 1, 9), weeks_ago(1, 0, 9, host="other")], TODAY, 70.0, 0.5),
            "distances of bike, other: a week",
        ),
        (([weeks_ago(2, -1, 9)], TODAY, 70.0, 0.5), "distance until 2026-09-08: today is 2026-09-01"),
        (([], TODAY, 0.0, 0.5), "usual distance a week in km is 0: from 0.1 to 5000"),
        (([], TODAY, 70.0, float("nan")), "usual spread of its logarithm is nan: from 0.01 to 3"),
    ],
)
def test_what_has_no_weekly_use_is_refused(arguments, sentence):
    """Two bikes at once, a distance from the future, a usual that cannot be."""
    with pytest.raises(InputRefused, match=sentence):
        weekly_use(*arguments)


def test_how_old_the_known_weeks_are_is_said_and_a_long_silence_is_a_state():
    """60 weeks known, the newest 44 weeks ago: both figures stand in the sentence, and that nothing is known since."""
    use = weekly_use([weeks_ago(104, 44, 60 * 69.0)], TODAY, 70.0, 0.5)
    assert use.silent_weeks == pytest.approx(44)
    assert "from 60 known weeks of this bike, the newest 44 weeks old" in use.words
    assert "Not ridden for 44 weeks, or ridden without a record: nothing is known of them." in use.words
    fresh = weekly_use([weeks_ago(60, 0, 60 * 69.0)], TODAY, 70.0, 0.5)
    assert fresh.silent_weeks == 0
    assert "old" not in fresh.words and "Nothing is known" not in fresh.words


@pytest.mark.parametrize(("days", "silent"), [(35, False), (36, True)])
def test_a_holiday_is_no_silence(days, silent):
    """35 days without a ride are a holiday, as files still speak for them; a day more is a silence."""
    use = weekly_use([weeks_ago(60, days / 7, 3000.0)], TODAY, 70.0, 0.5)
    assert ("nothing is known of them" in use.words) is silent


def test_less_than_a_known_week_is_called_a_guess():
    """Two rides in three days are no weeks: 'from 0 known weeks' is never said."""
    use = weekly_use([weeks_ago(3 / 7, 0, 90.0)], TODAY, 115.0, 0.5)
    assert "is a guess: less than a week of this bike is known" in use.words
    assert "0 known weeks" not in use.words
