"""ISO 2936 hex keys: sizes and least torques, from a national standard that mirrors it (2008), beside our table."""

import pytest

from pinchbolt.engines.torque import KeyLimits, key_state, weak_keys
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict

# Size, s greatest, s least in mm, least torque in N·m. Typed from the check values, not from our table.
PRINTED = [
    ("hex-2", 2.00, 1.96, 1.9),
    ("hex-2.5", 2.50, 2.46, 3.8),
    ("hex-3", 3.00, 2.96, 6.6),
    ("hex-4", 4.00, 3.95, 16),
    ("hex-5", 5.00, 4.95, 30),
    ("hex-6", 6.00, 5.95, 52),
    ("hex-8", 8.00, 7.94, 120),
    ("hex-10", 10.00, 9.94, 220),
]


@pytest.mark.parametrize(("drive", "greatest", "least", "proof"), PRINTED)
def test_our_tool_table_has_the_standards_keys(
    drive: str, greatest: float, least: float, proof: float
) -> None:
    """Typed twice by different hands, and alike."""
    row = tables().tools[drive]
    assert (row.size_max, row.size_min, row.proof) == (greatest, least, proof)


@pytest.mark.parametrize(("drive", "greatest", "least", "proof"), PRINTED)
def test_a_key_at_its_least_size_is_good_and_a_hundredth_under_it_is_not(
    drive: str, greatest: float, least: float, proof: float
) -> None:
    """Edges of the standard: 4.95 in, 4.94 out."""
    row = tables().tools[drive]
    assert row.worn_at is not None
    limits = KeyLimits(drive, least, greatest, row.worn_at, proof, "ISO 2936")
    assert key_state(limits, Interval(least, least)).verdict is Verdict.SOUND
    under = round(least - 0.01, 2)
    assert key_state(limits, Interval(under, under)).verdict is Verdict.WATCH


@pytest.mark.parametrize(("drive", "greatest", "least", "proof"), PRINTED)
def test_a_key_is_asked_for_no_more_than_0_7_of_its_proof(
    drive: str, greatest: float, least: float, proof: float
) -> None:
    """Trade rule (0.7 from memory): 2.5 mm 2.7 N·m, 3 mm 4.6, 4 mm 11, 5 mm 21, 6 mm 36, 8 mm 84."""
    keys = {drive: KeyLimits(drive, least, greatest, 0.0, proof, "ISO 2936")}
    assert not weak_keys(0.69 * proof, [drive], keys)
    assert weak_keys(0.71 * proof, [drive], keys)
