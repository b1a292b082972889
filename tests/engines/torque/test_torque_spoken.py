"""Torque as it is printed and typed."""

import pytest

from pinchbolt.engines.torque import TorqueMarking, parse_marking, parse_torque, torque_in
from pinchbolt.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "torque"),
    [
        ("5", 5.0),
        ("5 Nm", 5.0),
        ("5,5 N·m", 5.5),
        ("5.5N.m", 5.5),
        ("500 N cm", 5.0),
        # NIST SP 811 factors, by hand to six digits: 44 x 0.1129848, 4 x 1.355818, 50 x 0.0980665.
        ("44 lbf in", 4.971331),
        ("44 in-lb", 4.971331),
        ("44 IN·LBS", 4.971331),
        ("4 ft lb", 5.423272),
        ("4 lbf·ft", 5.423272),
        ("50 kgf·cm", 4.903325),
        ("50 kg-cm", 4.903325),
        ("0.5 kgf m", 4.903325),
    ],
)
def test_printed_torques_are_read(text: str, torque: float) -> None:
    """As printed on parts from three continents."""
    assert parse_torque(text) == pytest.approx(torque, rel=1e-6)


@pytest.mark.parametrize(
    "text", ["", "Nm", "five", "5 bar", "1,000 Nm", "0 Nm", "-5 Nm", "5 5 Nm", "5..5", "5 lb"]
)
def test_what_may_mean_two_things_is_refused(text: str) -> None:
    """A weight, a pressure, nought, a thousand or a decimal: read it again."""
    with pytest.raises(InputRefused, match="torque"):
        parse_torque(text)


@pytest.mark.parametrize(
    ("text", "least", "greatest"),
    [
        ("4-6 Nm", 4.0, 6.0),
        ("4 – 6 N·m", 4.0, 6.0),
        ("6 to 8", 6.0, 8.0),
        ("max 5 Nm", None, 5.0),
        ("MAX. 5Nm", None, 5.0),
        ("5 Nm max", None, 5.0),
        ("≤ 5 N·m", None, 5.0),
        ("5 N·m", None, 5.0),
        ("35-44 in-lb", 35 * 0.1129848, 44 * 0.1129848),
    ],
)
def test_printed_markings_are_read(text: str, least: float | None, greatest: float) -> None:
    """A lone value is a greatest value; a range gives both ends."""
    got = parse_marking("stem", text)
    assert got.greatest == pytest.approx(greatest, rel=1e-6)
    assert got.least == (None if least is None else pytest.approx(least, rel=1e-6))
    assert isinstance(got, TorqueMarking)


def test_a_range_upside_down_is_refused() -> None:
    """8 to 6 is a slip."""
    with pytest.raises(InputRefused, match="the lower value comes first"):
        parse_marking("stem", "8-6 Nm")


def test_a_torque_goes_to_another_scale_and_back() -> None:
    """5 N·m are 44.25 lbf·in and 3.69 lbf·ft (by 8.8507458 and 0.7375621, NIST SP 811)."""
    assert torque_in(5.0, "lbf·in") == pytest.approx(5 * 8.8507458, rel=1e-7)
    assert torque_in(5.0, "lbf·ft") == pytest.approx(5 * 0.7375621, rel=1e-7)
    for unit in ("N·m", "lbf·in", "lbf·ft", "kgf·cm"):
        assert parse_torque(f"{torque_in(5.0, unit):.12f} {unit}") == pytest.approx(5.0, rel=1e-11)
    with pytest.raises(InputRefused, match="Choose one"):
        torque_in(5.0, "bar")
