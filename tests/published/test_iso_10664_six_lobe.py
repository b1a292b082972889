"""ISO 10664 six-lobe drives: A over the lobes and B between them, from a public reprint, beside our tool table."""

import pytest

from pinchbolt.reference import tables

# Size, A, B in mm. B is stated to be in doubt in our table (from memory there), so only A is held to it.
PRINTED = [
    ("tx-10", 2.8, 1.98),
    ("tx-20", 3.95, 2.75),
    ("tx-25", 4.5, 3.16),
    ("tx-30", 5.6, 3.95),
    ("tx-40", 6.75, 4.76),
]


@pytest.mark.parametrize(("drive", "over", "between"), PRINTED)
def test_our_tool_table_has_the_standards_size_over_the_lobes(
    drive: str, over: float, between: float
) -> None:
    """A is what a key is measured by; B over A guards the typing (0.70 to 0.71 for all sizes)."""
    assert tables().tools[drive].lobe_a == over
    assert between / over == pytest.approx(0.704, abs=0.009)
