"""What can be read on a tyre, a rim or a scale: the ends of each range, written down by hand (common practice, no source)."""

import pytest

from pinchbolt.engines.tyres._tyre_sense import RANGES, number
from pinchbolt.errors import InputRefused

# From the narrowest track tyre to the widest of a fat bike; a child with its bike to a loaded tandem; a tubular on a track.
ENDS = {
    "width": (15, 140), "rim_inner": (10, 110), "bead_seat": (100, 800), "load": (5, 350), "tyre_max": (0.3, 20),
    "tyre_min": (0.2, 15), "rim_max": (0.3, 20), "opening": (20, 200), "runout": (0, 15), "share": (0.2, 0.8),
}  # fmt: skip


@pytest.mark.parametrize("name", RANGES)
def test_both_ends_are_taken_and_what_lies_beyond_is_asked_about(name: str) -> None:
    """A thousandth further is refused with what is possible."""
    least, most = ENDS[name]
    assert (number(name, least), number(name, most)) == (least, most)
    for beyond in (least - 0.001, most * 1.001):
        with pytest.raises(InputRefused, match=f"{least:g} to {most:g}"):
            number(name, beyond)
