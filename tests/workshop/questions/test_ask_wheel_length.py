"""A spoke's length by rim, hub and lacing: by hand, with the doubt of each measurement."""

from math import cos, hypot, radians, sqrt

import pytest

from pinchbolt.workshop.questions.ask_wheel_length import WheelLengthRequest, WheelLengthView, wheel_length

RIM, CIRCLE, HOLE, OFFSET = 602.0, 45.0, 2.5, 35.0


def asked(**more: object) -> WheelLengthView:
    """Three crosses of 32 spokes."""
    return wheel_length(
        WheelLengthRequest(OFFSET, 32, 3, erd_mm=RIM, circle_mm=CIRCLE, hole_mm=HOLE, **more)  # type: ignore[arg-type]
    )


def test_the_length_is_that_of_the_triangle() -> None:
    """By hand: the law of cosines between both circles, the offset at a right angle to it, half the hole off."""
    angle = radians(3 * 360 / 16)
    flat = (RIM / 2) ** 2 + (CIRCLE / 2) ** 2 - 2 * (RIM / 2) * (CIRCLE / 2) * cos(angle)
    by_hand = hypot(sqrt(flat), OFFSET) - HOLE / 2
    found = asked()
    assert found.length_mm == pytest.approx(by_hand, abs=0.0006)
    assert found.erd_mm == RIM


@pytest.mark.parametrize("sd", [0.2, 0.9])
def test_the_doubt_of_a_measurement_is_the_one_that_was_given(sd: float) -> None:
    """What was said of the rim's diameter comes back as it was said, and half of it is in the length."""
    found = asked(erd_sd_mm=sd, circle_sd_mm=0.1)
    shares = {one.measured: one for one in found.shares}
    assert found.erd_sd_mm == shares["erd"].sd_mm == sd
    assert shares["circle"].sd_mm == 0.1
    # The rim's radius runs along the spoke but for its slant, so a little less than half of its diameter's doubt.
    assert 0.48 * sd < shares["erd"].brings_mm < 0.5 * sd
    assert found.sd_mm == pytest.approx(sqrt(sum(one.brings_mm**2 for one in found.shares)), abs=0.002)


def test_doubts_that_nobody_gave_are_taken_as_usual_and_said() -> None:
    """By name; those that were given are not among them."""
    said = next(one for one in asked(erd_sd_mm=0.2).doubts if one.startswith("No doubt was given for"))
    assert "circle" in said and "offset" in said and "erd" not in said


def test_of_lengths_that_can_be_had_the_nearest_is_told() -> None:
    """Two of them, and what each is over."""
    found = asked(stocked_mm=(290.0, 292.0, 294.0))
    best = found.stocked[0]
    assert best.length_mm == min((290.0, 292.0, 294.0), key=lambda one: abs(one - found.length_mm))
    assert "the stocked lengths" in found.words
