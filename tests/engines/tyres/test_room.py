"""Room beside a tyre: what the standard asks for, and what run-out takes away."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.tyres import room_beside
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval

WIDTHS = st.floats(18, 80)


@pytest.mark.parametrize(
    ("opening", "runout", "racing", "enough"),
    [
        (40.0, 0.0, False, True),
        (39.9, 0.0, False, False),
        (36.0, 0.0, True, True),
        (36.0, 0.1, True, False),
        (41.0, 1.0, False, True),
    ],
)
def test_six_millimetres_a_side_and_four_on_racing_bikes(
    opening: float, runout: float, racing: bool, enough: bool
) -> None:
    """28 mm as measured. Source: ISO 4210-2 as seen in a frame maker's manual; the rest is arithmetic by hand."""
    assert room_beside(Interval(28, 28), opening, runout=runout, racing=racing).enough is enough


def test_where_the_width_decides_it_can_not_be_told() -> None:
    """27 mm leave 6.5, 29 mm leave 5.5: measure it mounted."""
    room = room_beside(Interval(27, 29), 40)
    assert (room.room, room.enough) == (Interval(5.5, 6.5), None)


@given(WIDTHS, st.floats(0, 4), st.floats(90, 150), st.floats(0, 10))
def test_run_out_and_doubt_never_make_room(width: float, doubt: float, opening: float, runout: float) -> None:
    """At the worst corner: the widest the tyre may stand, at the point where the wheel comes nearest."""
    still = room_beside(Interval(width, width), opening)
    worst = room_beside(Interval(width, width + doubt), opening, runout=runout)
    assert worst.room.low <= still.room.low
    assert worst.room.low == pytest.approx((opening - width - doubt) / 2 - runout / 2, abs=1e-9)


@pytest.mark.parametrize("opening", [0, -5, 2000, float("nan"), True])
def test_an_opening_out_of_any_sense_is_refused(opening: float) -> None:
    """What is allowed is said."""
    with pytest.raises(InputRefused, match=r"opening is .*: 20 to 200 mm"):
        room_beside(Interval(28, 28), opening)
