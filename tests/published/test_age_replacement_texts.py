"""Age replacement as worked in reliability texts: best age and cost rate; the seals and vehicle cases of operations texts."""

from math import inf

import pytest

from pinchbolt.engines.wear import age_replacement_cost, best_age

# Weibull shape, scale, planned, failed; best age, cost rate there, cost rate without replacement. Inputs of the first two
# from published examples (the first prints its age as about 493); answers recomputed to the digits shown.
CASES = [
    (2.5, 1000, 1, 5, 493.04696, 0.00346204, 0.00563530),
    (3, 150, 2, 8, 83.12298, 0.03685029, 0.05972515),
    (2, 1000, 1, 10, 336.4512, 0.00605612, 0.01128379),
]


@pytest.mark.parametrize(("shape", "scale", "planned", "failed", "age", "rate", "never"), CASES)
def test_best_age_and_cost_rates(shape, scale, planned, failed, age, rate, never):
    """Costs to half a unit of the last digit; the age to 1e-3, as the valley is flat at its bottom."""
    assert best_age(shape, scale, planned, failed) == pytest.approx(age, abs=2e-3)
    assert age_replacement_cost(shape, scale, planned, failed, age) == pytest.approx(rate, abs=5e-9)
    assert age_replacement_cost(shape, scale, planned, failed, inf) == pytest.approx(never, abs=5e-9)


def test_a_part_that_does_not_age_is_never_replaced_early():
    """Shape at or below 1: no finite best age."""
    assert best_age(1.0, 1000, 1, 10) == inf
    assert best_age(0.8, 1000, 1, 10) == inf


@pytest.mark.parametrize("factor", [0.5, 7.0])
def test_a_longer_life_scales_the_age_and_nothing_else(factor):
    """Best age is proportional to the scale, and depends on the ratio of costs only."""
    base = best_age(2.5, 1000, 1, 5)
    assert best_age(2.5, 1000 * factor, 1, 5) == pytest.approx(base * factor, rel=1e-6)
    assert best_age(2.5, 1000, factor, 5 * factor) == pytest.approx(base, rel=1e-6)
