"""The normal integral that the wear engine writes itself: printed tables, and the reference library."""

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from pinchbolt.engines.wear._normal import bell, integral, probit

# NIST/SEMATECH e-Handbook 1.3.6.7.1, area from 0 to z, five decimals (values from memory of the table).
PRINTED = [(0.5, 0.19146), (1.0, 0.34134), (1.28, 0.39973), (1.96, 0.47500), (2.58, 0.49506), (3.0, 0.49865)]


@pytest.mark.parametrize(("z", "area"), PRINTED)
def test_areas_round_to_the_printed_ones(z, area):
    """By the arrays' own formula."""
    assert integral(np.array([z]))[0] - 0.5 == pytest.approx(area, abs=5e-6)


def test_double_precision_is_that_of_the_reference_library():
    """Absolute 1e-14 over the whole range; the tail keeps five digits of its size."""
    x = np.linspace(-38, 38, 40001)
    dense, below = bell(x), integral(x)
    assert np.abs(below - ndtr(x)).max() < 1e-14
    tail = (x < -1) & (ndtr(x) > 1e-280)
    assert np.abs(below[tail] / ndtr(x[tail]) - 1).max() < 1e-5
    assert dense == pytest.approx(np.exp(-0.5 * x**2) / np.sqrt(2 * np.pi), abs=1e-16)


def test_the_inverse_is_that_of_the_reference_library():
    """Acklam's form and one Halley step: 1e-9 from eight deviations on one side to eight on the other."""
    chance = ndtr(np.linspace(-7.9, 7.9, 20001))
    assert probit(chance) == pytest.approx(ndtri(chance), abs=1e-9)
