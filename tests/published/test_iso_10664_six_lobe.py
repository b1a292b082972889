"""ISO 10664 six-lobe drives: A over the lobes and B between them, from a public reprint, beside our tool table."""

import pytest

from pinchbolt.engines.torque import key_state, six_lobe_limits
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict

# Size, A, B in mm, typed from the reprint and not from our table.
PRINTED = [
    ("tx-10", 2.8, 1.98),
    ("tx-20", 3.95, 2.75),
    ("tx-25", 4.5, 3.16),
    ("tx-30", 5.6, 3.95),
    ("tx-40", 6.75, 4.76),
]


@pytest.mark.parametrize(("drive", "over", "between"), PRINTED)
def test_our_tool_table_has_the_standards_size_over_and_between_the_lobes(
    drive: str, over: float, between: float
) -> None:
    """A is what a key is measured by; B what is left between the lobes."""
    row = tables().tools[drive]
    assert (row.lobe_a, row.lobe_b) == (over, between)


@pytest.mark.parametrize(("drive", "over", "between"), PRINTED)
def test_a_key_a_fortieth_under_the_standards_size_is_good_and_a_twentieth_under_is_off_the_board(
    drive: str, over: float, between: float
) -> None:
    """0.975 and 0.96 of A (from memory, said so in the method page), worked from the printed A."""
    limits = six_lobe_limits(drive, over, "ISO 10664")
    assert key_state(limits, Interval(0.975 * over + 0.001, 0.975 * over + 0.001)).verdict is Verdict.SOUND
    assert key_state(limits, Interval(0.95 * over, 0.95 * over)).verdict is Verdict.BEFORE_IT_LEAVES
