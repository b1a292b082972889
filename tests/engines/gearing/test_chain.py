"""Chain length: geometry, rounding, suspension, and the fixed drive."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pinchbolt.engines.gearing import chain_length, fixed_chains, pitch_diameter, stay_for, taut_loop
from pinchbolt.errors import InputRefused, NoSafeAnswer

STAY = st.floats(380, 520)
RING = st.integers(20, 58)
SPROCKET = st.integers(10, 52)


@given(STAY, RING, SPROCKET)
def test_the_loop_is_the_same_from_both_ends(stay: float, ring: int, sprocket: int) -> None:
    """Ring and sprocket may be exchanged."""
    assert taut_loop(stay, ring, sprocket) == taut_loop(stay, sprocket, ring)


@given(STAY, RING)
def test_two_equal_wheels_make_two_straights_and_one_whole_wheel(stay: float, ring: int) -> None:
    """n = 2 C / p + z."""
    assert taut_loop(stay, ring, ring) == pytest.approx(2 * stay / 12.7 + ring, rel=1e-12)


@given(STAY, RING, SPROCKET)
def test_the_loop_measured_along_its_path(stay: float, ring: int, sprocket: int) -> None:
    """Second way: walk the path point by point; arcs are counted in pitches, as the chain lies on the teeth."""
    radii = [12.7 / math.sin(math.pi / count) / 2 for count in (ring, sprocket)]
    slant = math.asin((radii[0] - radii[1]) / stay)
    # Tangent points from their coordinates, not from the cosine formula.
    one = (radii[0] * math.sin(slant), radii[0] * math.cos(slant))
    two = (stay + radii[1] * math.sin(slant), radii[1] * math.cos(slant))
    straight = math.dist(one, two) / 12.7
    turn_ring, turn_sprocket = math.pi + 2 * slant, math.pi - 2 * slant
    loop = 2 * straight + ring * turn_ring / math.tau + sprocket * turn_sprocket / math.tau
    assert taut_loop(stay, ring, sprocket) == pytest.approx(loop, rel=1e-12)


@given(STAY, RING, SPROCKET, st.integers(0, 6))
def test_the_cut_is_even_and_just_long_enough(stay: float, ring: int, sprocket: int, spare: int) -> None:
    """Never shorter than loop and spare; two pitches fewer would be."""
    answer = chain_length(stay, ring, sprocket, spare_pitches=spare)
    assert answer.pitches % 2 == 0
    assert answer.spare >= spare - 1e-6
    assert answer.pitches - 2 < answer.wrap + spare
    assert answer.spare == pytest.approx(answer.pitches - answer.wrap, abs=1e-9)


@given(STAY, RING, SPROCKET, st.floats(0, 60))
def test_suspension_never_makes_the_chain_shorter(
    stay: float, ring: int, sprocket: int, growth: float
) -> None:
    """The longest stay decides."""
    still = chain_length(stay, ring, sprocket)
    moved = chain_length(stay, ring, sprocket, growth_mm=growth)
    assert moved.pitches >= still.pitches
    assert moved.pitches == chain_length(stay + growth, ring, sprocket).pitches


def test_suspension_growth_worked_by_hand() -> None:
    """32/51 at 435 mm: 110.27 + 2 makes 114; 25 mm of growth are 2 x 25 / 12.7 = 3.94 pitches: 118."""
    assert chain_length(435, 32, 51).pitches == 114
    assert chain_length(435, 32, 51, growth_mm=25).pitches == 118


@given(
    st.floats(390, 480), st.integers(44, 53), st.integers(30, 39), st.integers(25, 36), st.integers(11, 13)
)
def test_the_slack_is_the_capacity_rule_and_what_the_angle_of_the_runs_takes(
    stay: float, big: int, small: int, low: int, high: int
) -> None:
    """(50 - 34) + (34 - 11) is 39. The loop's last term, (z2 - z1)^2 / (4 pi^2 a) pitches, takes up to 1.2 teeth off.

    Source: approximate chain length of the chain makers' handbooks, n = 2a + (z1 + z2)/2 + (z2 - z1)^2 / (39.6 a);
    39.6 stands for 4 pi^2. Tolerance: the next term of the series stays under 0.02 teeth on these bikes.
    """
    answer = chain_length(stay, big, low, small_ring=small, small_sprocket=high)
    pitches = ((big - low) ** 2 - (small - high) ** 2) / (4 * math.pi**2 * stay / 12.7)
    assert answer.slack_teeth == pytest.approx((big - small) + (low - high) + 2 * pitches, abs=0.02)


def test_a_short_cage_is_said_in_teeth() -> None:
    """50/34 with 11 to 34 takes up 38.6 teeth; a cage for 33 is 5.6 short."""
    answer = chain_length(410, 50, 34, small_ring=34, small_sprocket=11, capacity=33)
    assert answer.cage_short == pytest.approx(5.6, abs=0.05)
    assert chain_length(410, 50, 34, small_ring=34, small_sprocket=11, capacity=39).cage_short == 0
    assert chain_length(410, 50, 34, small_ring=34, small_sprocket=11).cage_short is None


@given(STAY, RING, st.integers(12, 24))
def test_the_axle_stands_where_the_loop_is_whole(stay: float, ring: int, sprocket: int) -> None:
    """There and back."""
    pitches = round(taut_loop(stay, ring, sprocket))
    assert taut_loop(stay_for(pitches, ring, sprocket), ring, sprocket) == pytest.approx(pitches, abs=1e-9)


@given(st.floats(390, 430), st.floats(0, 40), RING, st.integers(12, 24))
def test_every_fixed_chain_stands_inside_the_slot(stay: float, slot: float, ring: int, sprocket: int) -> None:
    """All even lengths of the slot and no other."""
    found = fixed_chains(stay, slot, ring, sprocket)
    assert all(chain.pitches % 2 == 0 and -1e-6 <= chain.moved_mm <= slot + 1e-6 for chain in found)
    low, high = taut_loop(stay, ring, sprocket), taut_loop(stay + slot, ring, sprocket)
    assume(all(abs(edge - round(edge)) > 1e-6 for edge in (low, high)))
    assert [chain.pitches for chain in found] == [
        n for n in range(20, 400) if n % 2 == 0 and low <= n <= high
    ]


@pytest.mark.parametrize(
    ("stay", "ring", "sprocket"),
    [
        (-410, 50, 34),
        (float("nan"), 50, 34),
        (41, 50, 34),
        (410, 50.5, 34),
        (410, "50", 34),
        (410, 50, True),
        (160, 60, 60),
    ],
)
def test_nonsense_is_refused(stay: object, ring: object, sprocket: object) -> None:
    """Also wheels that touch."""
    with pytest.raises(InputRefused):
        chain_length(stay, ring, sprocket)  # type: ignore[arg-type]


def test_small_wheels_above_the_big_ones_are_asked_about() -> None:
    """Swapped by a slip."""
    with pytest.raises(InputRefused, match="Were they swapped"):
        chain_length(410, 34, 11, small_ring=50, small_sprocket=34)


def test_a_chain_that_reaches_round_nothing_is_said() -> None:
    """Sound figures, no answer."""
    with pytest.raises(NoSafeAnswer, match="does not go round 44/16"):
        stay_for(30, 44, 16)


def test_a_wheel_of_six_teeth_is_twice_the_pitch() -> None:
    """A hexagon's circle has the radius of its side."""
    assert pitch_diameter(6) == pytest.approx(25.4, rel=1e-12)
    with pytest.raises(InputRefused):
        pitch_diameter(5)


def test_the_shortest_stay_that_a_bike_has_is_answered_and_a_shorter_one_is_not() -> None:
    """150 mm is under every bicycle: 11 teeth to 11 leave (p - 11) / 2 pitches of straight run at 12.7 mm."""
    for pitches in (35, 36):
        assert stay_for(pitches, 11, 11) == pytest.approx((pitches - 11) / 2 * 12.7, abs=1e-6)
    with pytest.raises(NoSafeAnswer, match="150 to 2000 mm"):
        stay_for(34, 11, 11)
