"""Pitch circle diameters of a handbook of gears and drives, printed for a chain of 1 in pitch (25.4 mm), in mm.

Tolerance: half a unit of the second decimal, 0.005 mm. The 12.7 mm column is half of it.
"""

import pytest

from pinchbolt.engines.gearing import pitch_diameter

PRINTED = {
    8: 66.37, 9: 74.26, 10: 82.20, 11: 90.16, 12: 98.14, 13: 106.14, 14: 114.15, 15: 122.17, 16: 130.20, 17: 138.23,
    18: 146.27, 19: 154.32, 21: 170.42, 25: 202.66, 28: 226.86, 30: 243.00, 32: 259.14, 34: 275.28, 36: 291.43,
    42: 339.89, 46: 372.20, 50: 404.52, 52: 420.68, 53: 428.76,
}  # fmt: skip


@pytest.mark.parametrize(("teeth", "printed"), PRINTED.items())
def test_the_printed_diameter_comes_out(teeth: int, printed: float) -> None:
    """At the handbook's pitch, and at half of it for a cycle chain."""
    assert pitch_diameter(teeth, 25.4) == pytest.approx(printed, abs=0.005)
    assert pitch_diameter(teeth) == pytest.approx(printed / 2, abs=0.0025)
