"""What a joint accepts: the worked cases of the trade page, and the rules behind them."""

import re

import pytest

from pinchbolt.engines.torque import (
    ConflictInJoint,
    JointSpec,
    JointWindow,
    TorqueMarking,
    TorqueRange,
    window,
)
from pinchbolt.errors import InputRefused, Unknown

# Ranges: trade table of joints, common practice, no source.
STEM_FACE = TorqueRange(4.0, 6.0, 5.0, "common practice, no source")
STEM_FACE_TWO_BOLTS = TorqueRange(7.0, 10.0, 8.0, "common practice, no source")
STEM_STEERER = TorqueRange(4.0, 7.0, 5.5, "common practice, no source")
LEVER = TorqueRange(5.0, 8.0, 6.0, "common practice, no source")
SEAT = TorqueRange(4.0, 7.0, 5.0, "common practice, no source")
CRANK = TorqueRange(11.0, 15.0, 13.0, "common practice, no source")
LOCKRING = TorqueRange(30.0, 50.0, 40.0, "common practice, no source")
PIVOT = TorqueRange(8.0, 25.0, 15.0, "from memory")


def joint(
    trade: TorqueRange,
    *markings: TorqueMarking,
    parts: tuple[str, ...] = ("stem", "handlebar"),
    shop: TorqueRange | None = None,
    table_is_no_default: bool = False,
) -> JointSpec:
    """A joint with only what the case is about."""
    return JointSpec("j", "Stem face", parts, trade, shop, markings, table_is_no_default)


WORKED = [
    # Trade page 3.1, worked for tests: markings, table, floor, cap.
    (STEM_FACE, (TorqueMarking("stem", 6.0, 4.0), TorqueMarking("handlebar", 5.0)), 4.0, 5.0),
    (STEM_STEERER, (TorqueMarking("stem", 6.0), TorqueMarking("steerer", 5.5)), 4.0, 5.5),
    (SEAT, (TorqueMarking("seat collar", 7.0), TorqueMarking("seat post", 5.0)), 4.0, 5.0),
    (CRANK, (TorqueMarking("crank", 14.0, 12.0),), 12.0, 14.0),
    (LOCKRING, (TorqueMarking("cassette", 40.0, means="target"),), 30.0, 50.0),
]


@pytest.mark.parametrize(("trade", "markings", "floor", "cap"), WORKED)
def test_the_worked_joints_of_the_trade_page_come_out(
    trade: TorqueRange, markings: tuple[TorqueMarking, ...], floor: float, cap: float
) -> None:
    """Floor and cap are those worked out by hand on the trade page, 3.1."""
    answer = window(joint(trade, *markings))
    assert (answer.floor, answer.cap) == (floor, cap)


def test_a_lever_of_6_to_8_on_a_carbon_bar_of_5_is_a_conflict_that_names_both() -> None:
    """Two makers disagree: refused, both named, a person decides (trade page 3.1)."""
    clamp = joint(
        LEVER, TorqueMarking("lever", 8.0, 6.0), TorqueMarking("handlebar", 5.0), parts=("lever", "handlebar")
    )
    sentence = (
        "Stem face: the lever's marking asks for at least 6 N·m, but the handlebar's marking allows at most 5 N·m, "
        "so no torque suits both. Read both markings again and ask both makers; a person decides."
    )
    with pytest.raises(ConflictInJoint, match=f"^{re.escape(sentence)}$"):
        window(clamp)


def test_a_table_floor_never_lifts_a_marked_cap() -> None:
    """A bar marked 5 under a table of 7 to 10 is a conflict, not a torque of 7."""
    with pytest.raises(
        ConflictInJoint, match=r"the trade table asks for at least 7 N·m.*handlebar's marking"
    ) as refused:
        window(joint(STEM_FACE_TWO_BOLTS, TorqueMarking("handlebar", 5.0)))
    assert "The marking is not exceeded." in refused.value.sentence


def test_a_marked_range_sets_a_table_floor_aside() -> None:
    """A maker who says 3 to 3.8 is enough is believed over a table of 4 to 7, and the page says so."""
    answer = window(joint(SEAT, TorqueMarking("frame", 3.8, 3.0), parts=("frame",)))
    assert (answer.floor, answer.cap) == (3.0, 3.8)
    assert any(
        "content with less than the trade table's least, 4 N·m" in reason.words for reason in answer.reasons
    )


def test_a_marking_of_one_part_does_not_lift_the_cap_of_an_unmarked_one() -> None:
    """A stem marked 8 says nothing about an unmarked bar, which the table still holds to 6."""
    answer = window(joint(STEM_FACE, TorqueMarking("stem", 8.0)))
    assert answer.cap == 6.0
    assert answer.cap_by.kind == "trade table"
    assert any(
        "handlebar" in reason.words and "does not lift it" in reason.words for reason in answer.reasons
    )


def test_a_bolt_marking_binds_but_speaks_for_no_clamped_part() -> None:
    """A marking of something that is not a clamped part can lower the cap and never takes the table out."""
    assert window(joint(STEM_FACE, TorqueMarking("bolt", 8.0))).cap == 6.0
    assert window(joint(STEM_FACE, TorqueMarking("bolt", 4.5))).cap == 4.5


def test_the_table_drops_out_once_every_clamped_part_is_marked() -> None:
    """Stem 8 and bar 7.5 marked: the cap is 7.5 though the table stops at 6, and the page says so."""
    answer = window(joint(STEM_FACE, TorqueMarking("Stem ", 8.0), TorqueMarking("handlebar", 7.5)))
    assert (answer.cap, answer.cap_by.kind, answer.cap_by.named) == (
        7.5,
        "marking",
        "the handlebar's marking",
    )
    assert any("no longer counts" in reason.words for reason in answer.reasons)


def test_a_marked_least_above_an_unmarked_partners_table_is_a_conflict_that_names_the_unmarked_part() -> None:
    """Stem asks for 7, the unmarked bar is held to the table's 6: a person finds the bar's sheet."""
    with pytest.raises(ConflictInJoint, match="maker's sheet for: handlebar; a person decides"):
        window(joint(STEM_FACE, TorqueMarking("stem", 9.0, 7.0)))


def test_two_markings_of_one_part_both_hold() -> None:
    """The lower greatest and the higher least of one part are kept."""
    answer = window(
        joint(STEM_FACE, TorqueMarking("stem", 6.0, 4.0), TorqueMarking("stem", 5.5, 4.5), parts=("stem",))
    )
    assert (answer.floor, answer.cap) == (4.5, 5.5)


def test_the_shop_table_comes_before_the_trade_table_and_after_a_marking() -> None:
    """Marking, shop table, trade table: in that order at each end."""
    shop = TorqueRange(4.5, 5.5, 5.0, "shop")
    plain = window(joint(STEM_FACE, shop=shop))
    assert (plain.floor, plain.cap, plain.floor_by.kind, plain.cap_by.kind) == (
        4.5,
        5.5,
        "shop table",
        "shop table",
    )
    marked = window(joint(STEM_FACE, TorqueMarking("stem", 5.2), shop=shop))
    assert (marked.cap, marked.cap_by.kind, marked.floor_by.kind) == (5.2, "marking", "shop table")


def test_what_the_table_alone_would_have_said_is_kept() -> None:
    """The answer says what would hold without any marking."""
    assert window(joint(STEM_FACE, TorqueMarking("handlebar", 5.0))).without_markings == (4.0, 6.0)


def test_no_default_is_shown_for_pivots() -> None:
    """Without a maker's value a pivot is 'cannot tell', never a table's 8 to 25."""
    with pytest.raises(Unknown, match="makers differ too much for a table value"):
        window(joint(PIVOT, parts=("frame",), table_is_no_default=True))


def test_a_pivot_marking_stands_alone() -> None:
    """A range on a pivot is the window; nothing of the table is left in it."""
    answer = window(
        joint(PIVOT, TorqueMarking("frame", 32.0, 28.0), parts=("frame",), table_is_no_default=True)
    )
    assert (answer.floor, answer.cap, answer.aim) == (28.0, 32.0, 30.0)
    assert answer.without_markings[0] == 0.0
    assert not any("25" in reason.words for reason in answer.reasons)


def test_a_lone_greatest_value_on_a_pivot_is_aimed_at_from_just_below() -> None:
    """15 on a pivot is a greatest value: near under it, and the floor says that it is a rule of thumb."""
    answer = window(joint(PIVOT, TorqueMarking("frame", 15.0), parts=("frame",), table_is_no_default=True))
    assert (answer.floor, answer.cap) == (pytest.approx(12.75, rel=1e-12), 15.0)
    assert "no least is given" in answer.floor_by.named


def test_a_pivot_target_from_the_makers_sheet_is_aimed_at() -> None:
    """A sheet that names one value to use is aimed at, a tenth either side."""
    sheet = TorqueMarking("frame", 15.0, means="target")
    answer = window(joint(PIVOT, sheet, parts=("frame",), table_is_no_default=True))
    assert (answer.floor, answer.aim, answer.cap) == (pytest.approx(13.5), 15.0, pytest.approx(16.5))


def test_a_target_outside_what_the_joint_accepts_is_a_conflict() -> None:
    """A target of 8 over a bar marked 5 is refused."""
    with pytest.raises(ConflictInJoint, match="names 8 N·m as the value to use"):
        window(joint(STEM_FACE, TorqueMarking("stem", 8.0, means="target"), TorqueMarking("handlebar", 5.0)))


def test_the_aim_is_the_usual_torque_where_there_is_room() -> None:
    """Stem face 4 to 6, usually 5: aim 5."""
    assert window(joint(STEM_FACE)).aim == 5.0


@pytest.mark.parametrize(
    ("trade", "markings", "aim"),
    [
        (
            STEM_FACE,
            (TorqueMarking("handlebar", 5.0),),
            5.0 / 1.1,
        ),  # usual 5 lies on the cap: a tenth under it
        (TorqueRange(40.0, 50.0, 40.0, ""), (), 44.0),  # usual 40 lies on the floor: a tenth over it
        (CRANK, (TorqueMarking("crank", 14.0, 12.0),), 13.0),  # too narrow for a tenth at both ends: mid-way
    ],
)
def test_the_aim_keeps_off_both_ends(
    trade: TorqueRange, markings: tuple[TorqueMarking, ...], aim: float
) -> None:
    """An aim on an end of the window would miss it with any real tool; arithmetic by hand."""
    assert window(joint(trade, *markings)).aim == pytest.approx(aim, rel=1e-12)


def test_55_for_5_5_is_asked_about() -> None:
    """A marking far over the table is warned about, because it is more often a slip than a part."""
    answer = window(joint(STEM_FACE, TorqueMarking("stem", 55.0)))
    assert answer.cap == 6.0
    assert answer.warnings == (
        "The stem's marking is 55 N·m: such a joint usually takes at most 6 N·m. Was another value meant, or another "
        "unit? Read it again.",
    )


@pytest.mark.parametrize(
    "bad",
    [
        TorqueMarking("stem", 0.0),
        TorqueMarking("stem", float("nan")),
        TorqueMarking("stem", 4.0, 5.0),
        TorqueMarking("stem", 4.0, 0.0),
    ],
)
def test_a_marking_that_cannot_be_is_refused(bad: TorqueMarking) -> None:
    """Nought, not a number, or a range upside down: read it again."""
    with pytest.raises(InputRefused, match=r"the stem's marking is .* Read it again\.$"):
        window(joint(STEM_FACE, bad))


def test_a_table_row_upside_down_is_refused() -> None:
    """A row whose usual value is outside its ends is not computed with."""
    with pytest.raises(InputRefused, match="the trade table's row is 6, 5, 4 N·m"):
        window(joint(TorqueRange(6.0, 4.0, 5.0, "")))


def test_every_window_says_why() -> None:
    """Reasons name both ends, the table and its source."""
    answer: JointWindow = window(joint(STEM_FACE, TorqueMarking("handlebar", 5.0)))
    words = " ".join(reason.words for reason in answer.reasons)
    assert "Highest 5 N·m by the handlebar's marking; lowest 4 N·m by the trade table" in words
    assert "common practice, no source" in {reason.source for reason in answer.reasons}


def test_a_marking_is_asked_about_from_over_twice_the_tables_greatest() -> None:
    """12 on a joint of at most 6 is taken as it is; 12.6 is more than twice: another unit, or a slip (twice: from memory)."""
    table = TorqueRange(4.0, 6.0, 5.0, "shop list")

    def asked(value: float) -> bool:
        joint = JointSpec("face", "stem face", ("stem",), table, markings=(TorqueMarking("stem", value),))
        return any("Was another value meant" in words for words in window(joint).warnings)

    assert not asked(12.0)
    assert asked(12.6)


def test_a_target_and_a_limit_are_said_in_other_words() -> None:
    """A value to use is no greatest value, and is never read as one."""
    table = TorqueRange(4.0, 6.0, 5.0, "shop list")
    marked = (TorqueMarking("stem", 5.5), TorqueMarking("stem", 4.5, means="target"))
    told = [
        reason.words
        for reason in window(JointSpec("face", "face", ("stem",), table, markings=marked)).reasons
    ]
    assert "The stem is marked 5.5 N·m, read as the greatest value." in told
    assert "The stem names 4.5 N·m as the value to use." in told


def test_of_two_targets_the_lesser_is_aimed_at() -> None:
    """Neither part gets more than its maker names."""
    table = TorqueRange(4.0, 6.0, 5.0, "shop list")
    marked = (TorqueMarking("stem", 5.5, means="target"), TorqueMarking("bar", 4.5, means="target"))
    assert window(JointSpec("face", "face", ("stem", "bar"), table, markings=marked)).aim == 4.5


def test_each_marking_is_told_as_what_it_is() -> None:
    """A lone figure limits, a range has two ends, a named value is the one to use and limits nothing."""
    told = [
        reason.words
        for reason in window(
            joint(
                STEM_FACE,
                TorqueMarking("stem", 5.5),
                TorqueMarking("handlebar", 6.0, 4.5),
                TorqueMarking("stem", 5.0, means="target"),
            )
        ).reasons
    ]
    assert "The stem is marked 5.5 N·m, read as the greatest value." in told
    assert "The handlebar is marked 4.5 to 6 N·m." in told
    assert "The stem names 5 N·m as the value to use." in told
