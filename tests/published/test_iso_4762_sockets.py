"""ISO 4762 cap screws: hex socket sizes, from a public reprint of the table, beside our tool table."""

import pytest

from pinchbolt.engines.torque import SocketLimits, socket_state
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict

# Drive, socket s greatest, least, across corners e least, in mm.
PRINTED = [
    ("hex-2", 2.08, 2.02, 2.303),
    ("hex-2.5", 2.58, 2.52, 2.873),
    ("hex-3", 3.08, 3.02, 3.443),
    ("hex-4", 4.095, 4.02, 4.583),
    ("hex-5", 5.14, 5.02, 5.723),
    ("hex-6", 6.14, 6.02, 6.863),
    ("hex-8", 8.175, 8.025, 9.149),
    ("hex-10", 10.175, 10.025, 11.429),
]


@pytest.mark.parametrize(("drive", "greatest", "least", "corners"), PRINTED)
def test_our_socket_table_is_the_standards(drive: str, greatest: float, least: float, corners: float) -> None:
    """Typed twice by different hands, and alike; across corners 1.14 times our least across flats (ISO 4762, note to e)."""
    row = tables().sockets[drive]
    assert (row.max, row.min) == (greatest, least)
    assert corners == pytest.approx(1.14 * row.min, abs=0.005)


@pytest.mark.parametrize(("drive", "greatest", "least", "corners"), PRINTED)
def test_the_standards_greatest_key_goes_into_the_standards_least_socket(
    drive: str, greatest: float, least: float, corners: float
) -> None:
    """Key by ISO 2936 in our tool table, socket by ISO 4762 as printed: 0.02 mm of room, 0.025 from 8 mm up."""
    key = tables().tools[drive].size_max
    assert key is not None
    assert least - key == pytest.approx(0.025 if key >= 8 else 0.02, abs=1e-9)


def test_a_socket_of_5_14_is_good_and_of_5_15_is_rounded() -> None:
    """Worked edge of the 5 mm socket."""
    limits = SocketLimits("hex-5", 5.02, 5.14, "ISO 4762")
    assert socket_state(limits, Interval(5.14, 5.14)).verdict is Verdict.SOUND
    assert socket_state(limits, Interval(5.15, 5.15)).verdict is Verdict.BEFORE_IT_LEAVES
