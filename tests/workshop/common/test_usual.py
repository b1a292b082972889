"""In which range a reading can lie at all, worked by hand from the rule: the row's own, its unit's, or five times its worst."""

from dataclasses import replace

import pytest

from pinchbolt.reference import tables
from pinchbolt.workshop.common.usual import usual_range


def test_a_length_goes_to_five_times_the_worst_figure_of_its_row() -> None:
    """Figures are counted; a flag that stands in a figure's place is none."""
    row = next(
        one
        for one in tables().limits.values()
        if one.unit.startswith("mm") and one.direction == "up" and not one.possible and not one.is_elongation
    )
    told = replace(row, new=0.2, warn=0.5, limit=0.8, warn_high=None, limit_high=None)
    assert usual_range(told) == (0.0, 4.0)
    assert usual_range(replace(told, warn_high=True, limit_high=False)) == (0.0, 4.0)


def test_what_grows_thinner_goes_a_third_above_new() -> None:
    """A rotor of 1.8 mm new: 1.3 times that, or its new size and two spreads where that is more."""
    row = tables().limits["rotor-thickness-1.8"]
    told = replace(row, possible=(), new=1.8, new_spread=0.02)
    assert usual_range(told) == (0.0, pytest.approx(2.34))
    assert usual_range(replace(told, new_spread=0.5)) == (0.0, pytest.approx(2.8))
    assert usual_range(replace(told, possible=(0.5, 2.5))) == (0.5, 2.5)
