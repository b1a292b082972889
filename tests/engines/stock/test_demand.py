"""How many may be asked for: against counting all, and what must hold of any demand."""

import random
from itertools import product
from math import prod

import pytest

from pinchbolt.engines.stock import marks, of_known_bikes, of_walk_ins, together
from pinchbolt.errors import InputRefused


def test_bikes_by_counting_every_case():
    """Six bikes, sixty-four cases, each counted by hand of the machine."""
    chances = [0.1, 0.9, 0.33, 0.5, 0.07, 1.0]
    counted = [0.0] * 7
    for case in product((0, 1), repeat=6):
        counted[sum(case)] += prod(p if yes else 1 - p for p, yes in zip(chances, case, strict=True))
    assert of_known_bikes(chances) == pytest.approx(counted, abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_mean_and_spread_are_those_of_the_sum(seed):
    """Thousands of bikes: the mean is the sum of the chances, the variance the sum of p (1 - p)."""
    rng = random.Random(seed)
    chances = [rng.random() ** 3 for _ in range(rng.choice((1, 40, 3000)))]
    demand = of_known_bikes(chances)
    mean = sum(k * p for k, p in enumerate(demand))
    assert sum(demand) == pytest.approx(1, abs=1e-12)
    assert mean == pytest.approx(sum(chances), rel=1e-6)
    variance = sum((k - mean) ** 2 * p for k, p in enumerate(demand))
    assert variance == pytest.approx(sum(p * (1 - p) for p in chances), rel=1e-4)


def test_nobody_known_asks_for_nothing():
    """No bike, no agreed line, no day: nothing for certain."""
    assert of_known_bikes([]) == (1.0,)
    assert of_walk_ins(5, 365, 0) == (1.0,)
    assert together() == (1.0,)
    assert together(sure=2) == (0.0, 0.0, 1.0)


def test_more_counted_means_more_expected_and_never_less():
    """Chance that one or more are asked for grows with what was counted, and with the days ahead."""
    for days in (3, 30):
        chances = [1 - of_walk_ins(count, 365, days)[0] for count in range(12)]
        assert chances == sorted(chances)
    assert of_walk_ins(3, 365, 3)[0] > of_walk_ins(3, 365, 30)[0]


def test_the_mean_of_those_who_walk_in():
    """Negative binomial: mean (a + count) days / (b + days counted)."""
    demand = of_walk_ins(24, 365, 30)
    assert sum(k * p for k, p in enumerate(demand)) == pytest.approx(24.25 * 30 / 456.25, rel=1e-6)


def test_a_chance_beyond_one_is_refused():
    """With the value, what is allowed, and what to do."""
    with pytest.raises(InputRefused, match=r"chance is 1.2: 0 to 1 is possible"):
        of_known_bikes([0.2, 1.2])
    with pytest.raises(InputRefused, match="0 or more is possible"):
        of_walk_ins(-1, 365, 7)


def test_marks_say_why_and_a_dead_kind_is_kept_on_no_shelf():
    """Two a month: some are kept, with the count in the reason; a dear part that nobody asked for in two years: none."""
    often = marks(24, 365, 2, 7, short=20, hold_a_year=5, ordering=0.5)
    assert often.up_to > often.low >= 1
    assert "24 asked for in 365 days" in often.reasons[0].words
    never = marks(0, 730, 2, 7, short=20, hold_a_year=40, ordering=0.5)
    assert (never.low, never.up_to) == (0, 0)
    assert "when a job asks for it" in never.reasons[0].words


def test_a_longer_way_never_lowers_a_mark():
    """Lead 1 to 21 days, everything else the same."""
    lows = [marks(30, 365, lead, 7, short=20, hold_a_year=5, ordering=0.5).low for lead in range(1, 22)]
    assert lows == sorted(lows)
    assert lows[-1] > lows[0]
