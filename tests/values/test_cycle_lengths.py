"""Lengths and times of the trade that are products of exact ones."""

import pytest

from pinchbolt.values import units


@pytest.mark.parametrize(
    ("factor", "value"),
    [
        # ISO 9633 and ISO 606: pitch 12.7 mm; 24 of them by hand.
        (units.mm_per_pitch, 12.7),
        (units.mm_per_24_pitches, 304.8),
        # NIST SP 811, B.8: mile 1609.344 m.
        (units.km_per_mile, 1.609344),
        # The calendar: 365 days and a leap day every fourth year; a twelfth by hand.
        (units.days_per_year, 365.25),
        (units.days_per_month, 30.4375),
    ],
)
def test_a_length_of_the_trade_is_what_its_standard_prints(factor: float, value: float) -> None:
    """To the last digit that a double holds, or nearly."""
    assert factor == pytest.approx(value, rel=1e-12)
