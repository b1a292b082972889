"""The third figure in a forecast: how likely a part is past it, how far off it is, and that only what was measured is unsafe by it."""

from dataclasses import replace
from datetime import date

import pytest

from pinchbolt.engines.wear import GaugeError, GaugeReading, RateOfUse, WearLaw, judge
from pinchbolt.values import Interval, Verdict

TODAY = date(2026, 11, 25)
WEEK = RateOfUse(70.0, 0.3)
# A disc pad: 2.5 mm new, 0.5 mm at its limit, metal on the rotor at 0.2 mm (from memory).
PAD = WearLaw(
    "pad", "disc pad", "lining", "mm", 2.5, 0.1, 1.0, 0.5, "down", "km", 1800.0, 0.5, Verdict.BEFORE_IT_LEAVES, True,
    "from memory", danger=0.2,
)  # fmt: skip


def read(value: float, at: float = 1500.0) -> list[GaugeReading]:
    """One reading of a caliper."""
    return [GaugeReading(TODAY, Interval(value, value), "caliper", GaugeError(0.0, 0.0, 0.03), at, 0.05)]


@pytest.mark.parametrize(
    ("shown", "verdict"),
    [(2.0, Verdict.SOUND), (0.4, Verdict.BEFORE_IT_LEAVES), (0.1, Verdict.UNSAFE), (0.0, Verdict.UNSAFE)],
)
def test_a_pad_past_its_limit_is_unsafe_from_the_third_figure_on(shown: float, verdict: Verdict) -> None:
    """0.4 mm stops the bike and is changed before it leaves; bare it is not ridden."""
    assert judge(PAD, read(shown), WEEK, TODAY).verdict is verdict


def test_it_lies_after_the_limit_in_use_and_in_days() -> None:
    """Three tenths of a millimetre are worth three tenths of a millimetre of riding."""
    seen = judge(PAD, read(0.9), WEEK, TODAY)
    assert seen.to_danger is not None and seen.day_at_danger is not None
    assert seen.chance_past_danger <= seen.chance_past_limit
    assert seen.to_danger.median > seen.to_limit.median > 0
    assert seen.day_at_danger.median is not None and seen.day_at_limit.median is not None
    assert seen.day_at_danger.median > seen.day_at_limit.median
    per_mm = seen.rate_a_thousand.median / 1000
    assert seen.to_danger.median - seen.to_limit.median == pytest.approx(0.3 / per_mm, rel=0.15)


def test_without_the_figure_nothing_moves() -> None:
    """A law that has none says the same as before of everything else."""
    with_it, without = (judge(law, read(0.4), WEEK, TODAY) for law in (PAD, replace(PAD, danger=None)))
    assert without.to_danger is None and without.chance_past_danger == 0.0
    same = {"law": without.law, "to_danger": None, "day_at_danger": None, "chance_past_danger": 0.0}
    assert replace(with_it, **same) == without  # type: ignore[arg-type]


def test_what_nobody_measured_is_to_be_measured() -> None:
    """Twice the life gone without a look: the pad may be bare, but no eye saw it."""
    seen = judge(PAD, [], WEEK, TODAY, exposure_now=9000.0)
    assert seen.chance_past_danger > 0.5
    assert seen.verdict is Verdict.BEFORE_IT_LEAVES
