"""Spoke length: its doubt, its refusals, stocked lengths, and the rim by two spokes."""

from dataclasses import replace
from math import dist, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.wheels import (
    LengthSpec,
    rim_by_two_spokes,
    spoke_length,
    stocked_lengths,
    string_frequency,
)
from pinchbolt.errors import InputRefused, Unknown

USUAL = LengthSpec(0.602, 0.045, 0.0174, 0.0025, spokes=32, crossings=3)


@settings(max_examples=60)
@given(
    st.floats(0.4, 0.64),
    st.floats(0.035, 0.1),
    st.floats(0.01, 0.04),
    st.floats(-0.004, 0.004),
    st.sampled_from([20, 24, 28, 32, 36]),
)
def test_the_length_is_the_distance_from_hole_to_hole(
    erd: float, circle: float, offset: float, aside: float, spokes: int
) -> None:
    """Second way: both holes as points in space, twice crossed."""
    spec = LengthSpec(erd, circle, offset, 0.0026, spokes, 2, rim_offset=aside)
    turn = 2 * pi * 2 / (spokes / 2)
    hub = (circle / 2, 0.0, offset)
    rim = (erd / 2 * np.cos(turn), erd / 2 * np.sin(turn), aside)
    assert spoke_length(spec).length == pytest.approx(dist(hub, rim) - 0.0013, abs=1e-12)


def test_the_doubt_is_what_a_thousand_measurings_scatter() -> None:
    """Second way: measure it again and again with the errors drawn."""
    draw = np.random.default_rng(3)
    sds = {"erd": 0.0005, "circle": 0.0003, "offset": 0.0005, "rim_offset": 0.0003, "hole": 0.0001}
    found = [
        spoke_length(
            replace(USUAL, **{name: getattr(USUAL, name) + draw.normal(0, sd) for name, sd in sds.items()})
        ).length
        for _ in range(1000)
    ]
    # The sd of a thousand is itself known to 2.3 %; three of these.
    assert spoke_length(USUAL, sds).sd == pytest.approx(float(np.std(found)), rel=0.07)


def test_the_rims_diameter_counts_half() -> None:
    """A rim 1 mm wider asks for a spoke half a millimetre longer, and that doubt is the greatest."""
    wider = spoke_length(replace(USUAL, erd=0.603)).length - spoke_length(USUAL).length
    assert wider == pytest.approx(0.0005, rel=0.01)
    assert max(spoke_length(USUAL).shares, key=lambda one: one.brings).name == "erd"


def test_a_hole_on_the_spokes_own_side_shortens_it() -> None:
    """An asymmetric rim evens out the two sides."""
    assert spoke_length(replace(USUAL, rim_offset=0.003)).length < spoke_length(USUAL).length


@pytest.mark.parametrize(("spokes", "crossings"), [(32, 4), (36, 5), (20, 3), (24, 4)])
def test_crossings_past_a_neighbours_head_are_refused(spokes: int, crossings: int) -> None:
    """The spoke would lie on the head of the next one."""
    with pytest.raises(InputRefused, match="neighbour's head"):
        spoke_length(replace(USUAL, spokes=spokes, crossings=crossings))


@pytest.mark.parametrize(
    ("spokes", "crossings", "cautioned"), [(32, 3, False), (28, 3, False), (24, 2, False), (36, 4, True)]
)
def test_crossings_that_wheels_are_built_with_are_not(spokes: int, crossings: int, cautioned: bool) -> None:
    """36 crossed four times passes near the head: said, not refused."""
    assert bool(spoke_length(replace(USUAL, spokes=spokes, crossings=crossings)).cautions) is cautioned


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"spokes": 31}, "even number"),
        ({"spokes": 30}, "crossed in pairs"),
        ({"erd": 6.02}, "erd is 6020 mm"),
        ({"offset": float("nan")}, "offset is nan"),
        ({"crossings": 9}, "crossings is 9"),
        ({"pair_gap": 0.09}, "nearer than even holes"),
        ({"circle": 0.0}, "circle is 0 mm"),
    ],
)
def test_what_cannot_be_laced_is_refused(change: dict[str, float], words: str) -> None:
    """With what is allowed."""
    with pytest.raises(InputRefused, match=words):
        spoke_length(replace(USUAL, **change))


def test_a_spoke_of_the_shelf_is_asked_about_where_it_is_longer_than_any() -> None:
    """Up to 400 mm, a big wheel's; past it centimetres or another part were meant, and the sentence says what is allowed."""
    assert stocked_lengths(0.3995, 0.0004, [0.400])[0].length == 0.400
    with pytest.raises(InputRefused, match="400 mm"):
        stocked_lengths(0.2925, 0.0004, [0.401])
    with pytest.raises(InputRefused, match="400 mm"):
        string_frequency(1000.0, 0.401, 0.002)


def test_paired_holes_ask_for_two_lengths_around_the_even_one() -> None:
    """Holes as near as even ones give one length; nearer ones two, one each side of it."""
    even = pi * 0.602 / 32
    found = spoke_length(replace(USUAL, pair_gap=even))
    assert found.other == pytest.approx(found.length, abs=1e-12)
    pair = spoke_length(replace(USUAL, pair_gap=0.025))
    assert pair.other is not None and pair.other < spoke_length(USUAL).length < pair.length


def test_straight_pull_needs_its_makers_figures() -> None:
    """Without them nothing is told; with them it is the tangent to the pull circle less the seat."""
    bare = replace(USUAL, straight_pull=True)
    with pytest.raises(Unknown, match="straight-pull"):
        spoke_length(bare)
    found = spoke_length(replace(bare, pull_circle=0.04, seat=0.005, offset=0.0))
    assert found.length == pytest.approx(sqrt(0.301**2 - 0.02**2) - 0.005, abs=1e-12)


def test_the_chance_of_a_stocked_length_is_counted() -> None:
    """Second way: lengths drawn, and those counted that end inside the window."""
    draw = np.random.default_rng(4)
    ends = 0.292 + draw.normal(0, 0.0002, 200_000) - (0.2925 + draw.normal(0, 0.0004, 200_000))
    counted = float((np.abs(ends) <= 0.001).mean())
    best = stocked_lengths(0.2925, 0.0004, [0.290, 0.292, 0.294])[0]
    assert best.length == 0.292 and best.chance == pytest.approx(counted, abs=0.004)


def test_a_rim_read_once_is_not_known() -> None:
    """Two pairs of holes at least; what lies too far apart was read wrong."""
    with pytest.raises(Unknown, match="one pair"):
        rim_by_two_spokes(0.3, 0.3, [0.002])
    with pytest.raises(InputRefused, match="apart"):
        rim_by_two_spokes(0.3, 0.3, [0.002, 0.012])
    assert rim_by_two_spokes(0.3, 0.3, [-0.002, -0.001]).erd == pytest.approx(0.5985, abs=1e-9)


def test_two_gaps_that_agree_do_not_make_a_rim_known_to_a_tenth() -> None:
    """By hand: 0.2^2 / 2 + 0.1^2 + 2 x 0.2^2 = 0.11, so 0.33 mm; the cut of two spokes alone is 0.28."""
    assert rim_by_two_spokes(0.3, 0.3, [0.0022, 0.0022]).sd == pytest.approx(0.000332, abs=1e-6)
    assert rim_by_two_spokes(0.3, 0.3, [0.0022] * 8).sd == pytest.approx(0.0003, abs=1e-9)


def test_more_readings_of_the_rim_leave_less_doubt() -> None:
    """Four pairs of holes are better than two of the same scatter."""
    two = rim_by_two_spokes(0.3, 0.3, [0.0020, 0.0024])
    four = rim_by_two_spokes(0.3, 0.3, [0.0020, 0.0024, 0.0020, 0.0024])
    assert four.sd < two.sd
