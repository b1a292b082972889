"""Worked adapter examples of torque wrench handbooks: setting = torque x L / (L + E cos a)."""

import pytest

from pinchbolt.engines.torque import delivered, extended_setting
from pinchbolt.errors import InputRefused

# Torque wanted, L, E, printed setting, half a unit of its last digit. Units cancel, so lbf·ft and inches may stay.
PRINTED = [(50.0, 16.0, 2.0, 44.44, 0.005), (80.0, 400.0, 50.0, 71.1, 0.05), (100.0, 12.0, 9.0, 57.14, 0.005)]


@pytest.mark.parametrize(("torque", "arm", "extension", "printed", "half"), PRINTED)
def test_the_printed_settings_come_out(
    torque: float, arm: float, extension: float, printed: float, half: float
) -> None:
    """Three handbook examples, adapter in line."""
    assert extended_setting(torque, arm, extension) == pytest.approx(printed, abs=half)


def test_a_square_adapter_changes_nothing() -> None:
    """At 90 degrees the lever to the bolt is the wrench's own."""
    assert extended_setting(5.5, 250.0, 25.0, 90.0) == pytest.approx(5.5, rel=1e-12)


def test_a_lever_of_650_for_500_delivers_130_for_100() -> None:
    """Handbook example of the reverse question."""
    assert delivered(100.0, 500.0, 150.0) == pytest.approx(130.0, rel=1e-12)


def test_an_adapter_turned_back_asks_for_a_higher_setting() -> None:
    """5.5 N·m, L = 250 mm, E = 25 mm: 5.0 in line, 6.1 turned back (trade page, common practice, no source)."""
    assert extended_setting(5.5, 250.0, 25.0) == pytest.approx(5.0, rel=1e-12)
    assert extended_setting(5.5, 250.0, 25.0, 180.0) == pytest.approx(6.1, abs=0.05)


@pytest.mark.parametrize(
    ("arm", "extension", "angle"),
    [(0.0, 25.0, 0.0), (250.0, -1.0, 0.0), (250.0, 250.0, 180.0), (250.0, float("nan"), 0.0)],
)
def test_an_adapter_that_cannot_be_is_refused(arm: float, extension: float, angle: float) -> None:
    """No arm, a negative length, or an adapter turned back to the grip."""
    with pytest.raises(InputRefused):
        extended_setting(5.5, arm, extension, angle)
