"""What a torque does to a bolt: proof, preparation, and that nothing is scaled in silence."""

import pytest

from pinchbolt.engines.torque import (
    BoltSpec,
    Preparation,
    greatest_for_reuse,
    judge_bolt,
    preparation_by_spread,
)
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Interval

# K: trade table of nut factors, common practice, no source.
GREASE = Preparation("grease", Interval(0.15, 0.15), "common practice, no source")
DRY = Preparation("dry", Interval(0.20, 0.20), "common practice, no source")
FIVE = Interval(5.0, 5.0)


def m5(meant: Preparation, found: Preparation | None = None, proof: float | None = 580.0) -> BoltSpec:
    """An M5 of class 8.8; proof stress 580 MPa, ISO 898-1."""
    return BoltSpec("stem bolt", 5.0, 0.8, "8.8", proof, meant, found)


def test_five_newton_metres_greased_take_an_m5_to_81_percent_of_proof() -> None:
    """Trade page 3.2, by hand: 5 / (0.15 x 0.005) = 6667 N of 580 x 14.2 = 8236 N, 81 %: warned, over 75."""
    judged = judge_bolt(m5(GREASE), FIVE)
    assert judged.preload.high == pytest.approx(6667, abs=0.5)
    assert judged.share is not None
    assert judged.share.high == pytest.approx(0.81, abs=0.005)
    assert any(
        "passes 75 % of what a 8.8 bolt is proved for (up to 81 %)" in words for words in judged.warnings
    )


def test_the_same_dry_is_61_percent_and_not_warned() -> None:
    """Trade page 3.2: 5000 N, 61 %."""
    judged = judge_bolt(m5(DRY), FIVE)
    assert judged.share is not None
    assert judged.share.high == pytest.approx(0.61, abs=0.005)
    assert not judged.warnings


def test_grease_where_dry_was_meant_adds_a_third_and_is_said() -> None:
    """Trade page 3.2: 6667 N instead of 5000 N. The torque is left alone; a person prepares it as meant."""
    judged = judge_bolt(m5(DRY, GREASE), FIVE)
    assert judged.preload_as_found is not None
    assert judged.preload_as_found.high / judged.preload.high == pytest.approx(4 / 3, rel=1e-12)
    assert judged.warnings[0] == (
        "stem bolt was meant dry and is grease: the same torque clamps with 6,700 N instead of 5,000 N, more: "
        "parts may crush. Clean it and prepare it as meant; the torque is not changed to suit."
    )
    assert "81 %" in judged.warnings[1]


def test_dry_where_grease_was_meant_may_slip() -> None:
    """The other way round the joint holds less than it was meant to."""
    judged = judge_bolt(m5(GREASE, DRY), Interval(4.0, 4.0))
    assert "less: the joint may slip" in judged.warnings[0]


def test_the_preparation_that_was_meant_is_no_conflict() -> None:
    """Found as meant: one range, no warning about it."""
    judged = judge_bolt(m5(DRY, DRY), FIVE)
    assert judged.preload_as_found is None
    assert not judged.warnings


def test_a_greased_crank_bolt_of_8_8_is_over_proof_and_of_10_9_is_not() -> None:
    """Trade page 3.2: M8 x 1 at 38 N·m greased, 31 667 N of 22 736 (8.8); of 32 536 (10.9)."""
    torque = Interval(38.0, 38.0)
    soft = judge_bolt(BoltSpec("crank bolt", 8.0, 1.0, "8.8", 580.0, GREASE), torque)
    hard = judge_bolt(BoltSpec("crank bolt", 8.0, 1.0, "10.9", 830.0, GREASE), torque)
    assert soft.preload.high == pytest.approx(31_667, abs=0.5)
    assert soft.share is not None
    assert soft.share.high > 1
    assert "may stretch for good" in soft.warnings[0]
    assert hard.share is not None
    assert hard.share.high < 1


def test_a_head_without_a_class_cannot_be_told() -> None:
    """No class, no share of proof, and no guess of one."""
    judged = judge_bolt(m5(GREASE, proof=None), FIVE)
    assert judged.share is None
    assert any("cannot be told" in reason.words for reason in judged.reasons)
    with pytest.raises(Unknown, match="class cannot be read"):
        greatest_for_reuse(m5(GREASE, proof=None))


def test_the_greatest_torque_for_reuse_is_taken_at_the_least_friction() -> None:
    """0.75 x 580 MPa x 14.1825 mm2 = 6169.4 N; at K 0.12: 3.7016 N·m, by hand."""
    slippery = Preparation("oiled", Interval(0.12, 0.20), "by hand")
    assert greatest_for_reuse(m5(slippery)) == pytest.approx(3.7016, abs=5e-5)


def test_two_sigmas_of_preload_are_carried() -> None:
    """K 0.15 with 12 %: preload 0.76 to 1.24 of the usual, so K 0.15 / 1.24 to 0.15 / 0.76."""
    prepared = preparation_by_spread("grease", 0.15, 0.12, "common practice, no source")
    judged = judge_bolt(m5(prepared), FIVE)
    usual = 5.0 / (0.15 * 0.005)
    assert judged.preload.low == pytest.approx(0.76 * usual, rel=1e-12)
    assert judged.preload.high == pytest.approx(1.24 * usual, rel=1e-12)


@pytest.mark.parametrize(("factor", "spread"), [(0.0, 0.1), (0.15, 0.5), (0.15, -0.1), (float("nan"), 0.1)])
def test_a_preparation_that_cannot_be_is_refused(factor: float, spread: float) -> None:
    """No friction at all, or a spread that reaches nought."""
    with pytest.raises(InputRefused, match="Correct the row"):
        preparation_by_spread("grease", factor, spread, "")
