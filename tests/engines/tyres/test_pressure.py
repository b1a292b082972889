"""Pressure: never above what tyre, rim and the hookless ceiling allow."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.tyres import by_wheel_drop, pressure_guide, wheel_loads
from pinchbolt.errors import InputRefused, NoSafeAnswer

BAR = st.none() | st.floats(0.5, 12)


@given(st.floats(15, 150), st.floats(18, 80), st.booleans(), BAR, BAR, BAR, st.booleans())
def test_nothing_is_ever_given_above_a_marking_or_the_hookless_ceiling(
    load: float,
    width: float,
    hooked: bool,
    tyre: float | None,
    rim: float | None,
    least: float | None,
    off: bool,
) -> None:
    """At every corner: the high end stays at or below the lowest of all ceilings, the low end at or above the floor."""
    ceilings = [value for value in (tyre, rim, None if hooked else 5.0) if value is not None]
    try:
        guide = pressure_guide(
            load, width, hooked=hooked, tyre_max=tyre, rim_max=rim, tyre_min=least, off_road=off
        )
    except NoSafeAnswer:
        assert not ceilings or guide_floor(width, least, off) > min(ceilings)
        return
    assert guide.ceiling == min(ceilings)
    assert guide.floor <= guide.start.low <= guide.start.high <= guide.ceiling


def guide_floor(width: float, least: float | None, off_road: bool) -> float:
    """The floor typed from ISO 5775-1: 300 kPa to 25 mm, 200 kPa, 150 kPa off the road."""
    if least is not None:
        return least
    return 3.0 if width <= 25 else 1.5 if off_road else 2.0


def test_a_heavy_rider_on_a_hookless_rim_runs_into_the_ceiling_and_is_told() -> None:
    """By the drop 28 mm under 60 kg asks for more than 5.0 bar."""
    guide = pressure_guide(60, 28, hooked=False, tyre_max=6.5)
    assert (guide.start.low, guide.start.high, guide.held) == (5.0, 5.0, "ceiling")
    assert guide.ceiling_by == "no hooks: the ceiling for such rims"


def test_a_light_rider_is_held_at_the_floor() -> None:
    """A child on wide tyres: the standard's least pressure."""
    guide = pressure_guide(15, 50, hooked=True, tyre_max=4.5)
    assert (guide.start.low, guide.held) == (2.0, "floor")


def test_without_any_marking_no_pressure_is_given() -> None:
    """A hooked rim and no marking: read the side."""
    with pytest.raises(NoSafeAnswer, match="Read the tyre's side"):
        pressure_guide(45, 28, hooked=True)


def test_a_tyre_that_wants_more_than_the_rim_allows_has_no_safe_pressure() -> None:
    """Two markings that disagree are not averaged."""
    with pytest.raises(NoSafeAnswer, match=r"wants 6.0 bar at least and the rim's marking allows 5.0"):
        pressure_guide(45, 25, hooked=True, tyre_max=8, rim_max=5, tyre_min=6)


@given(st.floats(20, 70), st.floats(20, 60))
def test_more_load_wants_more_and_more_width_wants_less(load: float, width: float) -> None:
    """Both ways monotone."""
    assert by_wheel_drop(load + 1, width) > by_wheel_drop(load, width)
    assert by_wheel_drop(load, width + 1) < by_wheel_drop(load, width)


@given(st.floats(20, 300), st.floats(0.2, 0.8))
def test_the_wheels_carry_it_all(total: float, share: float) -> None:
    """Nothing is lost between them."""
    assert sum(wheel_loads(total, share)) == pytest.approx(total, rel=1e-12)


@pytest.mark.parametrize(
    "told",
    [
        {"load": -5},
        {"load": float("nan")},
        {"width": 2.8},
        {"tyre_max": 65},
        {"rim_max": "5"},
        {"hooked": None},
    ],
)
def test_nonsense_is_refused(told: dict[str, object]) -> None:
    """65 bar is a slip of the decimal point."""
    asked: dict[str, object] = {"load": 45, "width": 28, "hooked": True, "tyre_max": 6.5, **told}
    load, width = asked.pop("load"), asked.pop("width")
    with pytest.raises(InputRefused):
        pressure_guide(load, width, **asked)  # type: ignore[arg-type]
