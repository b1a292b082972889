"""Eighteen means drawn together: hits of eighteen batters in 45 at bats each, the textbook case of James and Stein.

Source: Efron and Morris, Stein's paradox in statistics (1977), and Data analysis using Stein's estimator (1975): k = 18 averages after
45 at bats, grand mean 0.265, each keeps c = 0.212 of its departure. The hits were read in a public copy of the data set.
"""

import numpy as np
import pytest

from pinchbolt.engines.day import shrink

HITS = np.array([18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7])
AT_BATS = 45


def kept(averages: np.ndarray) -> tuple[float, float]:
    """The share kept, and the centre, with the variance of one average at the grand mean."""
    mean = averages.mean()
    found = shrink(averages, np.full(averages.size, mean * (1 - mean) / AT_BATS))
    return float(found.kept[0]), found.centre


def test_each_average_keeps_the_printed_share_of_its_departure():
    """Printed: c = 0.212, mean 0.265; half a unit in the last printed digit."""
    share, centre = kept(HITS / AT_BATS)
    assert share == pytest.approx(0.212, abs=0.0005)
    assert centre == pytest.approx(0.265, abs=0.0005)


def test_the_best_batter_is_foretold_at_0_294():
    """z = 0.265 + 0.212 (0.400 - 0.265) = 0.294, as printed in the same table."""
    averages = HITS / AT_BATS
    mean = averages.mean()
    found = shrink(averages, np.full(averages.size, mean * (1 - mean) / AT_BATS))
    assert found.values[0] == pytest.approx(0.294, abs=0.0006)
