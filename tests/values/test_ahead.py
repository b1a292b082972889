"""What lies ahead, in words: chances, distances, days, and what an instrument showed."""

from datetime import date
from math import inf

import pytest

from pinchbolt.values.about import shown_words
from pinchbolt.values.ahead import (
    about_day,
    chance_words,
    danger_words,
    day_words,
    days_between,
    is_past,
    left_words,
    odds_words,
    often_words,
    sure_words,
    use_words,
    when_words,
)

VALENTINE = date(2027, 2, 14)


@pytest.mark.parametrize(("chance", "past"), [(0.0, False), (0.5, False), (0.5000001, True), (1.0, True)])
def test_a_part_is_past_when_that_is_likelier_than_not(chance: float, past: bool) -> None:
    """Even odds are not past."""
    assert is_past(chance) is past


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "not sure"),
        (0.5, "fairly sure"),
        (0.874, "almost sure"),
        (0.9499, "almost sure"),
        (0.95, "sure"),
        (1.0, "sure"),
    ],
)
def test_how_sure_something_is_is_said_in_words(chance: float, said: str) -> None:
    """No figure that nobody knows."""
    assert sure_words(chance) == said


@pytest.mark.parametrize(
    ("low", "high", "unit", "said"),
    [
        (310, 1013, "km", "310 to 1,000 km"),
        (310, inf, "km", "310 km or more"),
        (310, inf, "", "310 or more"),
        (120, 121, "", "120"),
        (-50, 40, "hours", "0 to 40 hours"),
        (-50, -5, "days", "0 days"),
    ],
)
def test_what_is_left_is_said_by_both_ends(low: float, high: float, unit: str, said: str) -> None:
    """Where both ends are said alike it is said once; what is passed is nothing left, not less than nothing."""
    assert left_words(low, high, unit) == said


def test_a_day_is_written_as_people_write_it() -> None:
    """No nought before a day of one figure; a day that never comes within ten years is said to be so."""
    assert day_words(VALENTINE) == "14 Feb 2027"
    assert day_words(date(2027, 3, 4)) == "4 Mar 2027"
    assert day_words(None) == about_day(None) == "not within ten years"
    assert about_day(VALENTINE) == "about 14 Feb 2027"


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (VALENTINE, date(2027, 6, 1), "14 Feb 2027 to 1 Jun 2027"),
        (VALENTINE, None, "14 Feb 2027 to later than ten years ahead"),
        (None, None, ""),
        (None, VALENTINE, ""),
    ],
)
def test_days_between_have_two_ends_or_are_not_said(first: date | None, last: date | None, said: str) -> None:
    """Without a first day there is nothing to plan by."""
    assert days_between(first, last) == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.5, 0.75, "between 0.5 and 0.75 mm"),
        (None, 0.5, "below 0.5 mm"),
        (-inf, 0.5, "below 0.5 mm"),
        (0.75, None, "0.75 mm or more"),
        (0.75, inf, "0.75 mm or more"),
        (1.45, 1.45, "1.45 mm"),
        (0.0, 0.5, "between 0 and 0.5 mm"),
        (0.0, 0.0, "0 mm"),
        (None, None, "nothing"),
    ],
)
def test_what_an_instrument_showed_is_said_as_it_was_read(
    low: float | None, high: float | None, said: str
) -> None:
    """A side that drops in and one that doesn't; open ends; nought is a figure like any other."""
    assert shown_words(low, high, "mm") == said


@pytest.mark.parametrize(("driver", "said"), [("km", "km"), ("h", "hours"), ("days", "days")])
def test_use_is_named_in_full(driver: str, said: str) -> None:
    """Hours of a fork, days of a fluid, kilometres of the rest."""
    assert use_words(driver) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (1.0, "worn out"),
        (0.95, "worn out"),
        (0.9499, "almost certainly worn out"),
        (0.75, "almost certainly worn out"),
        (0.7499, "probably worn out"),
        (0.5, "probably worn out"),
        (0.4999, "may be worn out"),
        (0.05, "may be worn out"),
        (0.0499, ""),
        (0.0, ""),
    ],
)
def test_a_chance_is_a_word_and_never_a_figure(chance: float, said: str) -> None:
    """Flat from 19 in 20 on, silent under 1 in 20."""
    assert chance_words(chance, "worn out") == said


@pytest.mark.parametrize(
    ("odds", "said"),
    [
        (0.0, "hardly"),
        (0.099, "hardly"),
        (0.1, "1 in 10"),
        (0.5, "5 in 10"),
        (0.7997, "8 in 10"),
        (0.949, "9 in 10"),
        (0.95, "nearly sure"),
        (1.0, "nearly sure"),
    ],
)
def test_what_somebody_chooses_by_is_so_many_in_ten_and_never_rounded_up(odds: float, said: str) -> None:
    """A twentieth of a per cent aside, what is said is never more than what was found; nothing is sure."""
    assert odds_words(odds) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.9, "mostly"),
        (0.5, "mostly"),
        (0.49, "often"),
        (0.2, "often"),
        (0.19, "now and then"),
        (0.05, "now and then"),
        (0.049, "seldom"),
        (0.0, "seldom"),
    ],
)
def test_how_often_something_is_so_is_a_word(share: float, said: str) -> None:
    """Never a figure: nobody looks once in eighty times."""
    assert often_words(share) == said


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2027, 2, 4), date(2027, 2, 24), "14 Feb 2027"),
        (date(2027, 2, 3), date(2027, 2, 24), "mid-February 2027"),
        (date(2027, 1, 20), date(2027, 3, 20), "mid-February 2027"),
        (date(2027, 1, 1), date(2027, 4, 1), "February 2027"),
        (date(2027, 1, 1), None, "February 2027"),
        (None, None, "14 Feb 2027"),
    ],
)
def test_a_day_is_said_as_exactly_as_it_is_known(first: date | None, last: date | None, said: str) -> None:
    """Under three weeks the day, under two months its third of the month, else the month."""
    assert when_words(VALENTINE, first, last) == said


def test_a_month_has_three_thirds_and_never_is_never() -> None:
    """Early to the tenth, mid to the twentieth, late after it."""
    said = [when_words(date(2027, 3, day), date(2027, 3, 1), date(2027, 4, 10)) for day in (10, 11, 20, 21)]
    assert said == ["early March 2027", "mid-March 2027", "mid-March 2027", "late March 2027"]
    assert when_words(None, None, None) == "not within ten years"


@pytest.mark.parametrize(
    ("chance", "left", "said"),
    [
        (0.1, 312.0, "nobody rides it from 0.2 mm on, in about 310 km"),
        (0.1, 0.4, "nobody rides it from 0.2 mm on, in about 0 km"),
        # Its likely use lies behind it, the chance is small still: no use is left, never less than none.
        (0.1, -40.0, "nobody rides it from 0.2 mm on, in about 0 km"),
        (0.9, -40.0, "almost certainly past 0.2 mm, from where nobody rides it"),
    ],
)
def test_where_a_part_is_no_longer_ridden_is_said_with_how_far_off_it_is(
    chance: float, left: float, said: str
) -> None:
    """Ahead of it in rounded use, and never in less than nothing; past it in the chance of that."""
    assert danger_words(0.2, "mm", chance, left, "km") == said
