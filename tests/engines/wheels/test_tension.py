"""Tension by gauge and by ear: monotone between points, nothing outside, and newtons only with a reference."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.wheels import (
    GaugeTable,
    ReferenceSpoke,
    Wire,
    check_gauge,
    end_fixity,
    spoke_frequencies,
    tension_by_gauge,
    tensions_by_pitch,
)
from pinchbolt.errors import InputRefused, Unknown

TABLE = GaugeTable("2.0 round", (15.0, 17.0, 20.0, 25.0), (500.0, 590.0, 800.0, 1250.0), reading_sd=0.0)
PLAIN = Wire(((0.288, 0.002),))
BUTTED = Wire(((0.015, 0.002), (0.258, 0.0018), (0.015, 0.002)))


def test_a_gauge_gives_its_tables_points_back() -> None:
    """At a point of the table its own tension, whichever way the table was written down."""
    turned = GaugeTable("2.0 round", TABLE.readings[::-1], TABLE.tensions[::-1], reading_sd=0.0)
    for reading, tension in zip(TABLE.readings, TABLE.tensions, strict=True):
        assert tension_by_gauge(TABLE, reading).low == pytest.approx(tension)
        assert tension_by_gauge(turned, reading).low == pytest.approx(tension)


@settings(max_examples=60)
@given(st.floats(15, 25), st.floats(15, 25))
def test_a_greater_reading_is_never_a_lower_tension(one: float, other: float) -> None:
    """Between the points too."""
    low, high = sorted((one, other))
    assert tension_by_gauge(TABLE, low).low <= tension_by_gauge(TABLE, high).low + 1e-9


@pytest.mark.parametrize("reading", [14.9, 25.1])
def test_outside_its_table_a_gauge_tells_nothing(reading: float) -> None:
    """No line is drawn past the last point."""
    with pytest.raises(Unknown, match="outside"):
        tension_by_gauge(TABLE, reading)


@pytest.mark.parametrize(
    ("readings", "tensions", "words"),
    [
        ((15.0,), (500.0,), "two pairs"),
        ((15.0, 15.0), (500.0, 600.0), "twice"),
        ((15.0, 17.0, 20.0), (500.0, 480.0, 700.0), "turns back"),
    ],
)
def test_a_table_that_cannot_be_is_refused(
    readings: tuple[float, ...], tensions: tuple[float, ...], words: str
) -> None:
    """A figure typed wrong shows as a table that turns back."""
    with pytest.raises(InputRefused, match=words):
        tension_by_gauge(GaugeTable("2.0 round", readings, tensions), 16.0)


def test_a_known_weight_tells_a_gauge_that_is_out() -> None:
    """80 kg are 785 N: 800 N is fine, 590 N is not."""
    assert check_gauge(TABLE, 20.0, 80.0).usable
    wrong = check_gauge(TABLE, 17.0, 80.0)
    assert not wrong.usable and "too far out" in wrong.words


@pytest.mark.parametrize("wire", [PLAIN, BUTTED])
@pytest.mark.parametrize("held", [0.0, 0.3, 1.0])
def test_one_reference_gives_every_other_spokes_tension(wire: Wire, held: float) -> None:
    """Spokes of hidden hold are heard right to half a percent once one of them is known."""
    pulls = [400.0, 900.0, 1300.0]
    heard = [float(spoke_frequencies(wire, pull, held)[0]) for pull in pulls]
    found = tensions_by_pitch(wire, heard, [0.1, 0.1, 0.1], ReferenceSpoke(900.0, heard[1]))
    for spoke, pull in zip(found.spokes, pulls, strict=True):
        assert spoke.middle == pytest.approx(pull, rel=0.005)
        assert spoke.tension is not None and spoke.tension.low < pull < spoke.tension.high


def test_without_a_reference_only_shares_are_told() -> None:
    """The hold of the ends moves newtons by a quarter and shares by next to nothing."""
    pulls = np.array([700.0, 1000.0])
    for held in (0.0, 1.0):
        heard = [float(spoke_frequencies(PLAIN, pull, held)[0]) for pull in pulls]
        found = tensions_by_pitch(PLAIN, heard, [0.1, 0.1])
        assert all(one.tension is None and one.middle is None for one in found.spokes)
        assert found.doubts and "cannot be told by ear alone" in found.doubts[0]
        assert found.spokes[0].relative == pytest.approx(700 / 850, rel=0.02)


def test_a_reference_that_no_hold_can_give_is_refused() -> None:
    """Length, thickness or tension was measured wrong."""
    high = float(spoke_frequencies(PLAIN, 1000, 1.0)[0])
    with pytest.raises(InputRefused, match="is possible with this length"):
        end_fixity(PLAIN, ReferenceSpoke(1000, high * 1.05))


def test_a_thicker_end_makes_a_spoke_sound_higher() -> None:
    """260 mm, 1.8 mm with butts of 15 mm: 475.9 Hz clamped against 467.6 of a plain one; computed apart."""
    plain = Wire(((0.260, 0.0018),), density=7900)
    butted = Wire(((0.015, 0.002), (0.230, 0.0018), (0.015, 0.002)), density=7900)
    assert float(spoke_frequencies(plain, 1000, 1.0)[0]) == pytest.approx(467.6, abs=0.1)
    assert float(spoke_frequencies(butted, 1000, 1.0)[0]) == pytest.approx(475.9, abs=0.1)


def test_a_pitch_below_the_slack_spokes_own_is_refused() -> None:
    """No tension can be below nothing."""
    with pytest.raises(InputRefused, match="without any tension"):
        tensions_by_pitch(Wire(((0.260, 0.003),)), [90.0], [0.1], ReferenceSpoke(1000, 345.0))
