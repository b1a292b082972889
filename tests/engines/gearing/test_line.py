"""The slant of the chain: worked by hand, and its laws."""

from math import atan, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.gearing import chain_slants
from pinchbolt.errors import InputRefused


def test_two_rings_and_three_sprockets_by_hand() -> None:
    """Rings at 40 and 47 mm, sprockets at 39, 43 and 47 mm, stay 420 mm: offsets by subtraction, angles by arctangent."""
    found = {
        (one.ring, one.sprocket): one for one in chain_slants([(34, 40), (50, 47)], [28, 11, 18], 43, 4, 420)
    }
    expected = {(34, 11): -7, (34, 18): -3, (34, 28): 1, (50, 11): 0, (50, 18): 4, (50, 28): 8}
    assert {pair: one.off_mm for pair, one in found.items()} == pytest.approx(expected, rel=1e-12)
    assert found[50, 28].degrees == pytest.approx(degrees(atan(8 / 420)), rel=1e-12)


@given(st.floats(40, 55), st.floats(38, 50), st.integers(2, 13), st.floats(2.5, 5), st.floats(380, 480))
def test_the_middle_sprocket_is_off_by_the_chain_lines_and_the_ends_alike(
    front: float, rear: float, count: int, pitch: float, stay: float
) -> None:
    """Over all sprockets the offsets are centred on front less rear; the ends stand half the cassette apart from it."""
    offs = [one.off_mm for one in chain_slants([(40, front)], list(range(11, 11 + count)), rear, pitch, stay)]
    assert sum(offs) / count == pytest.approx(front - rear, abs=1e-9)
    assert offs[-1] - offs[0] == pytest.approx((count - 1) * pitch, abs=1e-9)


def test_a_line_out_of_any_sense_is_refused() -> None:
    """Measured from the frame's middle."""
    with pytest.raises(InputRefused, match="line is 450 mm: 20 to 90 mm"):
        chain_slants([(40, 450)], [11, 13], 45, 4, 430)
    with pytest.raises(InputRefused, match="0 rings and 2 sprockets"):
        chain_slants([], [11, 13], 45, 4, 430)
