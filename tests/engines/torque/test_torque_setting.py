"""Where to set a tool, which tool to take, and what a done value says."""

from datetime import date

import pytest

from pinchbolt.engines.torque import (
    Governs,
    JointWindow,
    NoSafeSetting,
    ToolSpec,
    best_setting,
    finest_deviation,
    guard_upper,
    judge_done,
    settings,
)
from pinchbolt.errors import InputRefused

TODAY = date(2025, 6, 2)
NEXT_YEAR = date(2026, 6, 2)
# Tools: trade tool table; deviations ISO 6789-1:2017 (6 % to 10 N·m, 4 % above).
SMALL = ToolSpec("tq-2-14", "small click wrench", 2.0, 14.0, 0.06, 0.1, due=NEXT_YEAR)
MIDDLE = ToolSpec("tq-5-25", "middle click wrench", 5.0, 25.0, 0.04, 0.25, due=NEXT_YEAR)
LARGE = ToolSpec("tq-10-60", "large click wrench", 10.0, 60.0, 0.04, 0.5, due=NEXT_YEAR)
PRESET = ToolSpec("tq-preset", "preset keys", 4.0, 6.0, 0.06, steps=(4.0, 5.0, 6.0), due=NEXT_YEAR)
OLD = ToolSpec("tq-old", "old click wrench", 2.0, 14.0, 0.06, 0.1, due=date(2025, 6, 1))


def accepts(floor: float, cap: float, aim: float | None = None) -> JointWindow:
    """A window with only its figures."""
    by = Governs(floor, "trade table", "the trade table")
    return JointWindow("j", floor, cap, (floor + cap) / 2 if aim is None else aim, by, by, (floor, cap), ())


@pytest.mark.parametrize(
    ("floor", "cap", "tool", "lowest", "highest"),
    [
        # Trade page 3.1: allowed 4.24 to 4.70, 4.24 to 5.17, 12.48 to 13.44, 31.2 to 48.0, rounded inward to the steps.
        (4.0, 5.0, SMALL, 4.3, 4.7),
        (4.0, 5.5, SMALL, 4.3, 5.1),
        (12.0, 14.0, MIDDLE, 12.5, 13.25),
        (30.0, 50.0, LARGE, 31.5, 48.0),
        (4.5, 6.0, PRESET, 5.0, 5.0),
    ],
)
def test_the_worked_settings_of_the_trade_page_come_out(
    floor: float, cap: float, tool: ToolSpec, lowest: float, highest: float
) -> None:
    """Ends worked by hand, then rounded inward to what the scale has."""
    assert settings(floor, cap, tool, TODAY) == (lowest, highest)


@pytest.mark.parametrize(
    ("floor", "cap", "aim", "tool", "value"),
    [
        (4.0, 5.0, 5.0 / 1.1, SMALL, 4.5),
        (4.0, 5.5, 5.0, SMALL, 5.0),
        (12.0, 14.0, 13.0, MIDDLE, 13.0),
        (30.0, 50.0, 40.0, LARGE, 40.0),
    ],
)
def test_the_trade_page_would_set_the_tool_there_too(
    floor: float, cap: float, aim: float, tool: ToolSpec, value: float
) -> None:
    """Set 4.5, 5.0, 13 and 40: the trade page's own choice."""
    assert best_setting(accepts(floor, cap, aim), [tool], TODAY).set == value


def test_a_preset_of_5_is_not_allowed_on_a_post_marked_5() -> None:
    """5 / 0.94 = 5.32 is over the cap and 4 / 1.06 = 3.77 under the floor (trade page 3.1)."""
    with pytest.raises(
        NoSafeSetting, match=r"preset keys gives 4, 5, 6 N·m: the joint needs a setting from 4.24 to 4.7"
    ):
        settings(4.0, 5.0, PRESET, TODAY)


def test_an_overdue_tool_counts_as_15_percent_out_and_says_so() -> None:
    """4 to 5 cannot be met by a tool past its date: 4.60 to 4.25 is empty (trade page 3.1)."""
    with pytest.raises(
        NoSafeSetting,
        match=r"may be 15.0 % out, since its recalibration was due 2025-06-01.*11.1 % or better",
    ):
        settings(4.0, 5.0, OLD, TODAY)
    late = best_setting(accepts(4.0, 8.0), [OLD], TODAY)
    assert late.lowest == 4.6
    assert late.highest == 6.8
    assert any("should have been recalibrated by 2025-06-01" in warning for warning in late.warnings)


def test_a_tool_is_still_good_on_the_day_it_is_due() -> None:
    """The date itself counts as in date and is pointed out."""
    on_the_day = best_setting(accepts(4.0, 5.0), [OLD], date(2025, 6, 1))
    assert on_the_day.lowest == 4.3
    assert on_the_day.warnings == ("old click wrench is due for recalibration today.",)


def test_a_tool_without_a_date_says_so() -> None:
    """No recalibration date on record is a doubt, and a doubt is shown."""
    undated = ToolSpec("u", "click wrench", 2.0, 14.0, 0.06)
    assert any(
        "No recalibration date" in warning
        for warning in best_setting(accepts(4, 6), [undated], TODAY).warnings
    )


def test_an_adjustable_tool_is_not_used_under_a_fifth_of_its_range() -> None:
    """A 10 to 60 wrench is tested from 12 up (ISO 6789-1: 20, 60, 100 %); its mark at 10 promises nothing."""
    with pytest.raises(NoSafeSetting, match=r"good for nothing under 12 N·m"):
        settings(10.0, 12.0, LARGE, TODAY)
    assert settings(10.0, 14.0, LARGE, TODAY)[0] == 12.0


def test_a_certificate_from_the_lowest_mark_lets_the_whole_scale_be_used() -> None:
    """By ISO 6789-1:2017, 5.1.3, the range starts at the lowest mark and is tested there."""
    whole = ToolSpec("w", "large wrench", 10.0, 60.0, 0.04, 0.5, due=NEXT_YEAR, tested_from=10.0)
    assert settings(9.0, 12.0, whole, TODAY) == (10.0, 11.5)
    with pytest.raises(InputRefused, match="certificate starts at 5 N·m"):
        settings(9.0, 12.0, ToolSpec("w", "wrench", 10.0, 60.0, 0.04, tested_from=5.0), TODAY)


def test_a_preset_tool_has_no_lowest_fifth() -> None:
    """A preset of 4, 5 and 6 is tested at each of its values."""
    tiny = ToolSpec("t", "preset", 1.0, 20.0, 0.04, steps=(1.0, 20.0), due=NEXT_YEAR)
    assert settings(0.9, 1.1, tiny, TODAY) == (1.0, 1.0)


def test_the_tool_in_date_is_taken_before_the_overdue_one() -> None:
    """An overdue tool is the last resort, even where it could be set nearer the aim."""
    coarse = ToolSpec("coarse", "coarse wrench", 2.0, 14.0, 0.06, 0.7, due=NEXT_YEAR)
    assert best_setting(accepts(4.0, 8.0, 6.0), [OLD, coarse], TODAY).tool == "coarse"


def test_the_setting_nearest_the_aim_is_taken_then_the_finer_tool() -> None:
    """Aim 13: both the small wrench at 13.0 and the middle one reach it; the finer is taken."""
    assert best_setting(accepts(11.0, 15.0, 13.0), [SMALL, MIDDLE], TODAY).tool == "tq-5-25"
    assert best_setting(accepts(11.0, 15.0, 12.9), [SMALL, MIDDLE], TODAY).tool == "tq-2-14"


def test_of_two_settings_alike_the_lower_is_taken() -> None:
    """Half-way between two marks, the softer pull."""
    halves = ToolSpec("h", "wrench", 2.0, 10.0, 0.01, 0.5, due=NEXT_YEAR)
    assert best_setting(accepts(4.0, 6.0, 4.75), [halves], TODAY).set == 4.5


def test_nothing_safe_names_the_deviation_it_would_take() -> None:
    """4.8 to 5.0: (5.0 - 4.8) / (5.0 + 4.8) = 2.04 %, rounded down so that the tool named is fine enough."""
    assert finest_deviation(4.8, 5.0) == 0.020
    with pytest.raises(NoSafeSetting, match=r"is 2\.0 % or better") as refused:
        best_setting(accepts(4.8, 5.0), [SMALL, PRESET], TODAY)
    assert refused.value.finest == 0.020
    assert set(refused.value.errors) == {"tq-2-14", "tq-preset"}


def test_the_refusal_offers_the_upper_limit_alone_and_says_what_it_costs() -> None:
    """Upper end by hand: 5 x 0.94 = 4.7; 4.7 / 1.06 = 4.434, so up to 0.366 short of 4.8."""
    with pytest.raises(
        NoSafeSetting, match=r"4.7 N·m keeps the upper limit but may fall 0.37 N·m short"
    ) as refused:
        best_setting(accepts(4.8, 5.0), [SMALL], TODAY)
    offered = refused.value.upper_guarded
    assert offered is not None
    assert offered.set == 4.7
    assert offered.may_fall_short_by == pytest.approx(4.8 - 4.7 / 1.06, rel=1e-12)
    assert any("The lower limit is not sure" in warning for warning in offered.warnings)


def test_guarding_the_upper_limit_is_never_silent() -> None:
    """Whatever is short by more than nothing carries its warning; what is safe at both ends does not."""
    short = guard_upper(accepts(4.8, 5.0), [SMALL], TODAY)
    assert short.may_fall_short_by > 0
    assert short.warnings
    sound = guard_upper(accepts(4.0, 6.0), [SMALL], TODAY)
    assert sound.may_fall_short_by == 0
    assert not sound.warnings


def test_a_tool_that_may_pass_the_cap_at_its_lowest_is_not_offered_at_all() -> None:
    """1 N·m at most, and the smallest tested setting is 2.8: no alternative is made up."""
    with pytest.raises(NoSafeSetting, match="sure to stay under 1 N·m"):
        guard_upper(accepts(0.8, 1.0), [SMALL], TODAY)
    with pytest.raises(NoSafeSetting) as refused:
        best_setting(accepts(0.8, 1.0), [SMALL], TODAY)
    assert refused.value.upper_guarded is None


def test_no_tools_at_all_is_no_safe_setting() -> None:
    """An empty tool board cannot promise anything."""
    with pytest.raises(NoSafeSetting, match="no tool here is sure to stay inside"):
        best_setting(accepts(4.0, 6.0), [], TODAY)


@pytest.mark.parametrize(
    ("done", "inside", "words"),
    [
        (4.5, True, "Inside"),
        (4.8, False, "May be too tight"),
        (4.1, False, "May be too loose"),
        (5.5, False, "Too tight"),
        (3.7, False, "Too loose"),
    ],
)
def test_a_done_value_is_judged_with_the_tools_deviation(done: float, inside: bool, words: str) -> None:
    """Window 4 to 5, 6 %: 4.8 / 0.94 = 5.11; 4.1 / 1.06 = 3.87; 5.5 / 1.06 = 5.19; 3.7 / 0.94 = 3.94 (by hand)."""
    judged = judge_done(accepts(4.0, 5.0), SMALL, done)
    assert judged.inside is inside
    assert judged.words.startswith(words)
    assert judged.applied.low == pytest.approx(done / 1.06, rel=1e-12)
    assert judged.applied.high == pytest.approx(done / 0.94, rel=1e-12)


def test_a_done_value_wider_than_the_window_cannot_be_told() -> None:
    """4.9 to 5.0 with 6 %: the bolt may be on either side."""
    judged = judge_done(accepts(4.9, 5.0), SMALL, 5.0)
    assert not judged.inside
    assert judged.words.startswith("Cannot tell")


def test_a_done_value_of_an_overdue_tool_is_judged_wider() -> None:
    """With the day given, a tool past its date is 15 % out: 4.5 / 0.85 = 5.29 is over the cap of 5."""
    assert judge_done(accepts(4.0, 5.0), OLD, 4.5).inside
    assert not judge_done(accepts(4.0, 5.0), OLD, 4.5, TODAY).inside


@pytest.mark.parametrize("done", [0.0, -1.0, 15.0, float("nan")])
def test_a_done_value_off_the_scale_is_refused(done: float) -> None:
    """45 for 4.5 is a slip of the pad, not a torque."""
    with pytest.raises(InputRefused, match="torque saved is"):
        judge_done(accepts(4.0, 5.0), SMALL, done)


def test_a_done_value_that_a_preset_does_not_have_is_refused() -> None:
    """Presets of 4, 5 and 6 cannot have clicked at 4.5."""
    with pytest.raises(InputRefused, match="preset keys gives 4, 5, 6 N·m"):
        judge_done(accepts(4.0, 6.0), PRESET, 4.5)


@pytest.mark.parametrize(
    "bad",
    [
        ToolSpec("b", "wrench", 2.0, 14.0, 1.0),
        ToolSpec("b", "wrench", 14.0, 2.0, 0.06),
        ToolSpec("b", "wrench", 2.0, 14.0, 0.06, step=0.0),
        ToolSpec("b", "wrench", 2.0, 14.0, 0.06, steps=(0.0,)),
    ],
)
def test_a_tool_with_impossible_figures_is_refused(bad: ToolSpec) -> None:
    """4 % written as 4, a range upside down, no step: corrected before anything is tightened."""
    with pytest.raises(InputRefused, match="wrench's"):
        settings(4.0, 5.0, bad, TODAY)


@pytest.mark.parametrize(("floor", "cap"), [(5.0, 4.0), (0.0, 4.0), (float("nan"), 4.0), (1.0, float("inf"))])
def test_a_window_that_cannot_be_is_refused(floor: float, cap: float) -> None:
    """Reversed, nought, not a number, endless."""
    with pytest.raises(InputRefused, match=r"joint is .* the least is above 0"):
        settings(floor, cap, SMALL, TODAY)


NEVER_TESTED = ToolSpec("tq-new", "never tested wrench", 2.0, 14.0, 0.06, 0.1, untested=True)


def test_a_tool_that_nobody_ever_calibrated_counts_as_fifteen_percent_out() -> None:
    """As one past its date: 4 to 6 leaves 4.6 to 5.1 (15 % from memory); it is said, and it loses to any tested tool."""
    best = best_setting(accepts(4.0, 6.0), [NEVER_TESTED], TODAY)
    assert (best.lowest, best.highest) == (4.6, 5.1)
    assert any("No calibration of never tested wrench is on record" in words for words in best.warnings)
    nearer = best_setting(accepts(4.0, 6.0, 5.0), [NEVER_TESTED, PRESET], TODAY)
    assert nearer.tool == "tq-preset"


def test_a_tool_never_tested_is_no_better_than_one_past_its_date() -> None:
    """Of two that nobody vouches for, the one set nearer the aim; neither is preferred."""
    best = best_setting(accepts(4.0, 6.0, 5.0), [OLD, NEVER_TESTED], TODAY)
    assert best.tool == "tq-old"
    assert best_setting(accepts(4.0, 6.0, 5.0), [NEVER_TESTED, OLD], TODAY).tool == "tq-new"


def test_a_done_value_below_what_the_tool_is_tested_for_is_uncertain() -> None:
    """2.2 on a wrench to 14: nothing is vouched for under 2.8, so it is not said to be inside 1.9 to 3."""
    judged = judge_done(accepts(1.9, 3.0), SMALL, 2.2, TODAY)
    assert not judged.inside
    assert "can be trusted from 2.8 N·m up" in judged.words
    assert judge_done(accepts(1.9, 3.0), SMALL, 2.8, TODAY).inside


def test_what_is_too_tight_says_what_to_do_with_the_bolt() -> None:
    """Loosen, look at the parts, and change a bolt that was drawn out: never silently green."""
    words = judge_done(accepts(4.0, 5.0), SMALL, 8.0, TODAY).words
    assert "Undo" in words and "change the bolt" in words


def test_the_finest_deviation_is_rounded_down_to_a_tenth_of_a_percent() -> None:
    """(1.5009 - 0.4991) / 2 is 0.5009: 50.0 % is still fine enough, 50.1 % is not."""
    assert finest_deviation(0.4991, 1.5009) == 0.5
