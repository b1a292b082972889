"""Gears as printed in public gear tables: gear in inches, development and metres ridden per metre of pedal.

Tolerance: half a unit of the last printed digit.
"""

import pytest

from pinchbolt.engines.gearing import development, gear_inches, gears, metres_per_pedal_metre

M = 0.0254


@pytest.mark.parametrize(
    ("ring", "sprocket", "inches", "metres"),
    [
        (44, 12, 96.86, 7.73),
        (53, 14, 100.01, 7.98),
        (49, 15, 86.30, 6.89),
        (56, 12, 123.28, 9.84),
        (44, 18, 64.58, 5.15),
    ],
)
def test_a_table_for_a_wheel_of_2108_mm(ring: int, sprocket: int, inches: float, metres: float) -> None:
    """Inches are printed with the wheel's diameter, 2108 mm by pi."""
    assert development(ring, sprocket, 2.108) == pytest.approx(metres, abs=0.005)
    drive = gears([ring], [sprocket], 2.108)
    # The table works with a rounded diameter: 0.01 in of the gear is 0.05 mm of wheel.
    assert drive.lowest.inches == pytest.approx(inches, abs=0.02)


@pytest.mark.parametrize(
    ("ring", "sprocket", "inches", "gain"), [(24, 30, 20.80, 1.51), (48, 11, 113.45, 8.23)]
)
def test_a_table_for_a_26_inch_wheel_and_175_mm_cranks(
    ring: int, sprocket: int, inches: float, gain: float
) -> None:
    """Gear inches and metres per metre of pedal side by side."""
    assert gear_inches(ring, sprocket, 26 * M) == pytest.approx(inches, abs=0.005)
    assert metres_per_pedal_metre(ring, sprocket, 13 * M, 0.175) == pytest.approx(gain, abs=0.005)


@pytest.mark.parametrize(("ring", "sprocket", "inches"), [(52, 13, 108.0), (42, 28, 40.5)])
def test_the_old_27_inch_wheel(ring: int, sprocket: int, inches: float) -> None:
    """Printed exactly."""
    assert gear_inches(ring, sprocket, 27 * M) == pytest.approx(inches, rel=1e-12)


def test_the_pair_that_the_tables_print_as_one() -> None:
    """39/14 and 53/19 are both printed 2.79: twins."""
    drive = gears([39, 53], [14, 19], 2.1)
    twins = {(t.one.ring, t.one.sprocket, t.other.ring, t.other.sprocket) for t in drive.twins}
    assert (39, 14, 53, 19) in twins
    assert drive.distinct == 3
