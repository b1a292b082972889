"""Chain elongation from measured lengths, as worked in public bicycle technical texts; pitch 12.7 mm, ISO 9633."""

import pytest

from pinchbolt.engines.wear import elongation_percent
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval

MM_PER_INCH = 25.4

# Length in mm, half links, printed percent, half a unit of its last digit.
PRINTED = [
    (12.0625 * MM_PER_INCH, 24, 0.5, 0.05),  # 24 half links at 12 1/16 in: printed 0.5 %
    (12.125 * MM_PER_INCH, 24, 1.0, 0.05),  # 1/8 in over 12 in: printed 1 %
]


@pytest.mark.parametrize(("length", "pitches", "printed", "half"), PRINTED)
def test_elongations_round_to_the_printed_ones(length, pitches, printed, half):
    """To half a unit of the printed digit."""
    assert elongation_percent(length, pitches) == pytest.approx(printed, abs=half)


def test_twenty_half_links_of_256_mm():
    """254 mm new, 256 mm worn: 2 / 254. The text prints 0.7 %, cut and not rounded."""
    assert elongation_percent(256.0, 20) == pytest.approx(100 * 2 / 254, rel=1e-12)
    assert int(10 * elongation_percent(256.0, 20)) / 10 == 0.7


def test_an_interval_stays_an_interval():
    """A rule read between 306.0 and 306.5 mm: both ends are turned into percent."""
    found = elongation_percent(Interval(306.0, 306.5), 24)
    assert found.low == pytest.approx(100 * 1.2 / 304.8, rel=1e-9)
    assert found.high == pytest.approx(100 * 1.7 / 304.8, rel=1e-9)


def test_a_miscounted_chain_is_refused():
    """25 pitches called 24: 4 % too long, and no chain is."""
    with pytest.raises(InputRefused) as refused:
        elongation_percent(25.9 * 12.7, 24)
    assert "Count the pitches again" in refused.value.sentence
