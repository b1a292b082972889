"""Stock as worked in operations texts and in the pages of a general inventory library: newsvendor, lot size, counts, series with gaps."""

from math import exp, factorial

import pytest

from pinchbolt.engines.stock import (
    expected_short,
    lot_size,
    newsvendor,
    normal_loss,
    now_and_then,
    order_up_to,
)

# Mean, sd, short, over; amount and cost. The first two as the library's pages print them; the third as a text prints it to
# two digits (120.23, 38.13) and recomputed to four.
NEWSVENDORS = [
    (120, 10, 18, 2, 132.815515655446, 35.09966638649737, 1e-9),
    (50, 8, 0.70, 0.18, 56.60395592743389, 1.9976051931766445, 1e-9),
    (100, 30, 3, 1, 120.2347, 38.1332, 5e-5),
    (100, 20, 3, 1, 113.4898, 25.4221, 5e-5),
]


@pytest.mark.parametrize(("mean", "sd", "short", "over", "amount", "cost", "digits"), NEWSVENDORS)
def test_amount_and_cost_of_one_period(mean, sd, short, over, amount, cost, digits):
    """To half a unit of the last printed digit."""
    found = newsvendor(mean, sd, short, over)
    assert found.amount == pytest.approx(amount, abs=digits)
    assert found.cost == pytest.approx(cost, abs=digits)


# Inputs of two worked texts: normal demand, price, cost, salvage; amount, lost sales, profit (recomputed, four digits).
SOLD_OFF = [(140, 100, 90, 1168.3242, 22.3275, 37200.381), (130, 100, 80, 1050.6694, 57.0007, 26136.575)]


@pytest.mark.parametrize(("price", "cost", "salvage", "amount", "lost", "profit"), SOLD_OFF)
def test_what_is_left_is_sold_off(price, cost, salvage, amount, lost, profit):
    """Mean 1000, sd 200; lost sales by the normal loss function."""
    found = newsvendor(1000, 200, price - cost, cost - salvage)
    lacks = 200 * normal_loss((found.amount - 1000) / 200)
    assert found.amount == pytest.approx(amount, abs=5e-5)
    assert lacks == pytest.approx(lost, abs=5e-5)
    assert (price - cost) * 1000 - found.cost == pytest.approx(profit, abs=5e-3)


def test_lot_sizes_of_the_texts():
    """The library's page (K 8, h 0.225, 1300 a year), and a text's case of 8000 a month with setup 12000 and holding 0.3."""
    of_page = lot_size(1300, 8, 0.225)
    assert of_page.amount == pytest.approx(304.0467800264368, abs=1e-9)
    assert of_page.cost == pytest.approx(68.41052550594829, abs=1e-9)
    of_text = lot_size(8000, 12000, 0.3)
    assert of_text.amount == pytest.approx(25298.22, abs=5e-3)
    assert of_text.cost == pytest.approx(7589.466, abs=5e-4)
    may_wait = lot_size(8000, 12000, 0.3, 1.1)
    assert may_wait.amount == pytest.approx(28540.24, abs=5e-3)
    assert may_wait.cost == pytest.approx(6727.34, abs=5e-3)


def poisson(mean, most=80):
    """Chances of 0, 1, 2 ... by the formula itself."""
    return tuple(exp(-mean) * mean**k / factorial(k) for k in range(most))


# Quantiles .90, .95, .99 of the Poisson table.
TABLE = {0.5: (1, 2, 3), 1: (2, 3, 4), 2: (4, 5, 6), 3: (5, 6, 8), 5: (8, 9, 11)}


@pytest.mark.parametrize(("mean", "counts"), TABLE.items())
def test_whole_counts_by_the_poisson_table(mean, counts):
    """Ratio .90, .95, .99 of short against over."""
    assert tuple(order_up_to(poisson(mean), 100 * q, 100 * (1 - q)) for q in (0.9, 0.95, 0.99)) == counts


def test_a_ratio_close_to_one():
    """A text's ratio 6 / 6.01 at mean 6 gives 14, whose chance is .998600."""
    assert order_up_to(poisson(6), 6, 0.01) == 14
    assert sum(poisson(6)[:15]) == pytest.approx(0.998600, abs=5e-7)


def test_share_that_is_served_from_the_bin():
    """1.5 a day, 3 days until it comes, looked at every day: 8 kept serve .83571 of it, 9 serve .91071 (a text's case)."""
    for level, served in ((8, 0.83571), (9, 0.91071)):
        lacks = expected_short(poisson(6), level) - expected_short(poisson(4.5), level)
        assert 1 - lacks / 1.5 == pytest.approx(served, abs=5e-6)


def test_series_with_gaps_by_three_rules():
    """The factors 1 - a/2 and 1 - a/(2 - a) of the texts; the series worked by hand at a = 0.2."""
    found = now_and_then([0, 0, 3, 0, 4, 0, 0, 0, 2, 0], 0.2)
    # Size 3, 3.2, 2.96; gap 3, 2.8, 3.04.
    assert found.croston == pytest.approx(2.96 / 3.04, rel=1e-12)
    assert found.sba == pytest.approx(0.876316, abs=5e-7)
    assert found.sbj == pytest.approx(0.865497, abs=5e-7)
