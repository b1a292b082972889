"""The likelihood of interval readings that the wear filter uses, held to published interval-censored fits.

A go/no-go gauge gives an interval, as an inspection gives one in survival data: the same piece of likelihood. Sources: an open
statistics test suite (its normal fit of four intervals, values as printed there); the cosmesis data set, public in R and
Python packages, against lifelines' own interval-censored log-normal fit.
"""

import warnings
from math import inf, log

import numpy as np
import pytest
from scipy.optimize import minimize

from pinchbolt.engines.wear._filter import cut_off

FOUR = ([0.10, 0.50, 0.75, 0.80], [0.20, 0.55, 0.90, 0.95])
# Months to retraction, arm 1: (left, right], inf = not seen.
ARM_1 = (
    "45,inf 6,10 0,7 46,inf 46,inf 7,16 17,inf 7,14 37,44 0,8 4,11 15,inf 11,15 22,inf 46,inf 46,inf "
    "25,37 46,inf 26,40 "
    "46,inf 27,34 36,44 46,inf 36,48 37,inf 40,inf 17,25 46,inf 11,18 38,inf 5,12 37,inf 0,5 18,inf "
    "24,inf 36,inf 5,11 "
    "19,35 17,25 24,inf 32,inf 33,inf 19,26 37,inf 34,inf 36,inf"
)


def fit(low, high):
    """Mean, sd and log likelihood of a normal by maximum likelihood, the pieces taken from the wear filter."""
    low, high = np.array(low, float), np.array(high, float)

    def loss(x):
        log_like, _, _ = cut_off((low - x[0]) * np.exp(-x[1]), (high - x[0]) * np.exp(-x[1]))
        return -float(log_like.sum())

    finite = np.concatenate([low[np.isfinite(low)], high[np.isfinite(high)]])
    best = minimize(
        loss,
        [finite.mean(), log(finite.std())],
        method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-13},
    )
    return best.x[0], float(np.exp(best.x[1])), -best.fun


def test_the_normal_fit_of_four_intervals_is_the_published_one():
    """Mean 0.5919990, sd 0.2868042: five digits, the reach of the search; printed with seven."""
    mean, sd, _ = fit(*FOUR)
    assert mean == pytest.approx(0.5919990, abs=5e-6)
    assert sd == pytest.approx(0.2868042, abs=5e-6)


def test_the_log_normal_fit_of_the_cosmesis_data_is_that_of_lifelines():
    """46 intervals, 26 of them open: location, scale and log likelihood, against an independent library."""
    from lifelines import LogNormalFitter

    pairs = [tuple(float(v) for v in p.split(",")) for p in ARM_1.split()]
    left, right = np.array(pairs).T
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = LogNormalFitter().fit_interval_censoring(np.maximum(left, 1e-10), right)
    low = np.where(left > 0, np.log(np.maximum(left, 1e-300)), -inf)
    mean, sd, log_likelihood = fit(low, np.log(right))
    # The library stops at its own tolerance; 1e-3 relative is ten times what it reaches on this set.
    assert mean == pytest.approx(float(other.mu_), rel=1e-3)
    assert sd == pytest.approx(float(other.sigma_), rel=1e-3)
    assert log_likelihood == pytest.approx(float(other.log_likelihood_), abs=1e-3)


def test_both_published_sets_are_fitted_alike_by_the_reference_library():
    """Four intervals and the cosmesis data, against scipy.stats on its CensoredData: location and scale to 1e-3.

    The library's search stops at its own tolerance, 1.4e-4 off the printed figures of the four intervals (above).
    """
    from scipy.stats import CensoredData, lognorm, norm

    low, high = np.array(FOUR)
    mean, sd = norm.fit(CensoredData(interval=np.column_stack([low, high])))
    assert fit(*FOUR)[:2] == pytest.approx((mean, sd), rel=1e-3)
    left, right = np.array([tuple(float(v) for v in p.split(",")) for p in ARM_1.split()]).T
    seen = np.isfinite(right)
    data = CensoredData(
        interval=np.column_stack([left, right])[seen & (left > 0)],
        left=right[seen & (left == 0)],
        right=left[~seen],
    )
    shape, _, scale = lognorm.fit(data, floc=0)
    low = np.where(left > 0, np.log(np.maximum(left, 1e-300)), -inf)
    assert fit(low, np.log(right))[:2] == pytest.approx((log(scale), shape), rel=1e-3)


def test_the_moments_of_a_cut_off_normal_are_those_of_the_reference_library():
    """Mean and variance after each of the four kinds of reading, against scipy.stats.truncnorm."""
    from scipy.stats import truncnorm

    for low, high in ((-inf, 0.3), (0.4, inf), (-0.2, 0.9), (1.5, 2.5)):
        _, first, second = cut_off(np.array([(low - 0.1) / 0.8]), np.array([(high - 0.1) / 0.8]))
        cut = truncnorm((low - 0.1) / 0.8, (high - 0.1) / 0.8)
        shift = float(first[0])
        left = 1 - shift**2 + float(second[0])
        assert shift == pytest.approx(float(cut.mean()), abs=1e-10)
        assert left == pytest.approx(float(cut.var()), abs=1e-9)
