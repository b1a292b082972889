"""Gears: laws of the figures, refusals, and what a swap tells the owner."""

import doctest
import math
from importlib import import_module

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines import gearing
from pinchbolt.engines.gearing import climb, compared, gears, low_enough, lowest_gear_for, speed
from pinchbolt.errors import InputRefused, NoSafeAnswer, PinchboltError

RINGS = st.lists(st.integers(20, 60), min_size=1, max_size=3, unique=True)
SPROCKETS = st.lists(st.integers(9, 52), min_size=1, max_size=13, unique=True)


@pytest.mark.parametrize("name", ["_gears", "_hill", "_chain_length", "_line"])
def test_the_examples_of_the_docstrings_run(name: str) -> None:
    """What a docstring shows is what comes out."""
    module = import_module(f"pinchbolt.engines.gearing.{name}")
    shown = {public: getattr(gearing, public) for public in gearing.__all__}
    result = doctest.testmod(module, extraglobs=shown)
    assert result.attempted > 0
    assert result.failed == 0


@given(RINGS, SPROCKETS)
def test_every_pair_is_there_once_and_in_order(rings: list[int], sprockets: list[int]) -> None:
    """Lowest first; the range is highest by lowest; distinct gears are at least those of one ring."""
    drive = gears(rings, sprockets, 2.1)
    assert len(drive.gears) == len(rings) * len(sprockets)
    ratios = [gear.ratio for gear in drive.gears]
    assert ratios == sorted(ratios)
    assert drive.range == pytest.approx(ratios[-1] / ratios[0], rel=1e-12)
    assert len(sprockets) <= drive.distinct <= len(drive.gears)
    assert 0 <= drive.overlap <= 1
    assert all(step.share > 0 for step in drive.steps)


@given(RINGS, SPROCKETS)
def test_the_steps_multiply_to_the_spread_of_the_cassette(rings: list[int], sprockets: list[int]) -> None:
    """(1 + step) over all steps is biggest by smallest sprocket."""
    drive = gears(rings, sprockets, 2.1)
    product = math.prod(1 + step.share for step in drive.steps)
    assert product == pytest.approx(max(sprockets) / min(sprockets), rel=1e-12)


def test_the_order_of_rings_and_sprockets_does_not_matter() -> None:
    """They are counted off in any order."""
    assert gears([34, 50], [11, 13, 15], 2.1) == gears([50, 34], [15, 11, 13], 2.1)


def test_overlap_worked_by_hand() -> None:
    """Rings 40 and 20, sprockets 10 and 40: served 0.5 to 2 and 1 to 4; twice 1 to 2, one octave of three."""
    assert gears([40, 20], [10, 40], 2.0).overlap == pytest.approx(1 / 3, rel=1e-12)


def test_rings_that_leave_a_gap_have_no_overlap() -> None:
    """A gap is served by none."""
    assert gears([60, 20], [19, 20], 2.0).overlap == 0


def test_gears_are_counted_once_within_one_and_a_half_percent() -> None:
    """Worked by hand: 50/25 and 34/17 are both 2; 30/15 and 61/30 lie 1.7 % apart. The reason says by how much."""
    assert gears([50, 34], [25, 17], 2.1).distinct == 3
    assert gears([30, 61], [15, 30], 2.1).distinct == 4
    assert "gears within 1.5 % of one another count as one" in [
        reason.words for reason in gears([30], [15], 2.1).reasons
    ]


def test_only_the_far_corners_are_crossed() -> None:
    """Two biggest sprockets on the big ring, two smallest on the small one."""
    drive = gears([50, 34], [11, 12, 13, 14, 15], 2.1)
    crossed = {(gear.ring, gear.sprocket) for gear in drive.gears if gear.crossed}
    assert crossed == {(50, 15), (50, 14), (34, 11), (34, 12)}
    assert not any(gear.crossed for gear in gears([40], [11, 12, 13, 14, 15], 2.1).gears)


def test_a_swap_is_told_in_words() -> None:
    """28 to 34: the lowest gear falls by 28/34."""
    told = compared(gears([50, 34], [11, 28], 2.1), gears([50, 34], [11, 34], 2.1))
    assert told.lowest == pytest.approx(28 / 34 - 1, rel=1e-12)
    assert told.words[:2] == ("the lowest gear is 18 % lower", "the highest gear is the same")


@given(st.integers(20, 60), st.integers(9, 52), st.floats(0, 200))
def test_speed_is_proportional_to_cadence(ring: int, sprocket: int, cadence: float) -> None:
    """Twice the cadence, twice the speed."""
    one, two = speed(ring, sprocket, 2.1, cadence / 2), speed(ring, sprocket, 2.1, cadence)
    assert two == pytest.approx(2 * one, rel=1e-12)


def test_the_power_of_a_climb_worked_by_hand() -> None:
    """80 kg, 10 %, 2 m/s: lifting alone is 80 x 9.80665 x 2 x sin(atan 0.1) = 156.1 W, so no answer is below it."""
    gear = gears([20], [20], 2.0).lowest
    answer = climb(gear, 0.10, 80.0, 60.0)
    lifting = 80 * 9.80665 * 2 * math.sin(math.atan(0.1))
    assert answer.speed_km_h == pytest.approx(7.2, rel=1e-12)
    assert lifting / 0.98 < answer.power_w.low < answer.power_w.high < 1.25 * lifting
    hardest = (lifting + 80 * 9.80665 * 2 * 0.010 * math.cos(math.atan(0.1)) + 0.5 * 1.2 * 0.55 * 8) / 0.94
    assert answer.power_w.high == pytest.approx(hardest, rel=1e-12)


@given(st.floats(0.01, 0.3), st.floats(40, 200), st.floats(50, 500), st.floats(30, 110))
def test_the_gear_for_a_hill_spends_just_the_power(
    gradient: float, mass: float, power: float, cadence: float
) -> None:
    """Put back into the balance, the lowest development spends the power in the hardest case."""
    wanted = lowest_gear_for(gradient, mass, power, cadence)
    assert wanted.low < wanted.high
    speed_m_s = wanted.low * cadence / 60
    angle = math.atan(gradient)
    force = mass * 9.80665 * (math.sin(angle) + 0.010 * math.cos(angle)) + 0.5 * 1.2 * 0.55 * speed_m_s**2
    assert force * speed_m_s / 0.94 == pytest.approx(power, rel=1e-9)


def test_whether_the_lowest_gear_will_do_is_said_with_the_figures() -> None:
    """Yes, no, and cannot tell in between."""
    wanted = lowest_gear_for(0.1, 85, 180, 60)
    for circumference, answer in ((wanted.low - 0.01, True), (wanted.high + 0.01, False)):
        said, words = low_enough(gears([34], [34], circumference), 0.1, 85, 180, 60)
        assert said is answer
        assert "34/34" in words
    middle = (wanted.low + wanted.high) / 2
    assert low_enough(gears([34], [34], middle), 0.1, 85, 180, 60)[0] is None


def test_no_gear_can_be_named_on_the_flat() -> None:
    """Sound input, no answer."""
    with pytest.raises(NoSafeAnswer, match="steepest hill"):
        lowest_gear_for(0.0, 85, 180, 60)


@pytest.mark.parametrize(
    ("rings", "sprockets", "circumference"),
    [([], [11], 2.1), ([50], [], 2.1), ([50, 50], [11], 2.1), ("50", [11], 2.1), ([50.5], [11], 2.1),
     ([-50], [11], 2.1), ([50], [11], 2105), ([50], [11], float("nan")), ([True], [11], 2.1),
     ([50], ["11"], 2.1), (None, [11], 2.1)],
)  # fmt: skip
def test_figures_out_of_any_sense_are_refused(
    rings: object, sprockets: object, circumference: object
) -> None:
    """Also millimetres where metres are meant."""
    with pytest.raises(InputRefused):
        gears(rings, sprockets, circumference)  # type: ignore[arg-type]


def test_a_refusal_says_what_is_allowed_and_what_next() -> None:
    """The circumference in millimetres is the usual slip."""
    with pytest.raises(
        PinchboltError, match=r"circumference is 2105 m: 0.3 to 3 m. Measure again"
    ) as refused:
        gears([50], [11], 2105)
    assert list(refused.value.errors) == ["circumference_m"]
