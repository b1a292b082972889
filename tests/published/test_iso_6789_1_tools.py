"""ISO 6789-1: how a tool's deviation is reckoned, and where a tool may be used.

Edges worked from the definition and written down beside it in the check values of this project: a tool set to 5.0 N·m
passes in the 4 % class for reference readings of 4.8077 to 5.2083 N·m, in the 6 % class for 4.7170 to 5.3191 (four
decimals: half of the last is 5e-5).
"""

import pytest

from pinchbolt.engines.torque import applied

HALF_OF_THE_LAST_DIGIT = 5e-5


@pytest.mark.parametrize(("deviation", "low", "high"), [(0.04, 4.8077, 5.2083), (0.06, 4.7170, 5.3191)])
def test_the_deviation_is_taken_relative_to_the_true_torque(
    deviation: float, low: float, high: float
) -> None:
    """Dividing by the set value instead would give 4.80 to 5.20 and 4.70 to 5.30."""
    got = applied(5.0, deviation)
    assert got.low == pytest.approx(low, abs=HALF_OF_THE_LAST_DIGIT)
    assert got.high == pytest.approx(high, abs=HALF_OF_THE_LAST_DIGIT)
