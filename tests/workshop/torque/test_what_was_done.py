"""A done value and a tick: what is kept, what is asked once more, and what the sheet says of a joint that is not done."""

from dataclasses import replace
from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NoSafeAnswer, NotPossibleNow
from pinchbolt.records.models import DoneValue, Event, Marking, RoundTick, Tool
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.tools.tool_board import torque_tool
from pinchbolt.workshop.torque.bolt_round import DUE, TickRequest, bolt_round, tick_joint
from pinchbolt.workshop.torque.joint_windows import is_by_hand, joint_row, joint_window
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, DoneRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import (
    AddJointRequest,
    DoneView,
    JointView,
    add_joint,
    joint_view,
    sheet_with_order,
    torque_sheet,
    undone_joints,
)
from tests import story
from tests.story import NOW, STEM, TODAY, Story

pytestmark = pytest.mark.django_db


def wrench() -> Tool:
    """A click wrench of 2 to 14 N·m, in date."""
    return Tool.objects.get(table_id="tq-2-14")


def done(at: Story, value: float, joint: str = STEM, **more: object) -> DoneView:
    """A done value by the first mechanic."""
    asked = DoneRequest(at.job, joint, more.pop("tool", wrench().pk), value, **more)  # type: ignore[arg-type]
    return record_done(asked, by=at.first, key=at.key(), now=NOW)


def seen(at: Story, joint: str = STEM) -> JointView:
    """A joint of the sheet."""
    return next(one for one in torque_sheet(job_by_id(at.job), TODAY) if one.joint == joint)


@pytest.fixture
def at_work() -> Story:
    """A road bike at its safety check: its stem is on the sheet."""
    return story.on_a_stand()


def disagree(at: Story) -> None:
    """The stem asks for six at least, the bar allows five at most."""
    for marking in (
        MarkingRequest(at.tag, STEM, "stem", 7.0, 6.0),
        MarkingRequest(at.tag, STEM, "handlebar", 5.0),
    ):
        read_marking(marking, by=at.first, key=at.key(), now=NOW)


def test_where_the_parts_disagree_no_value_is_inside_and_what_was_done_is_kept_by_name(
    at_work: Story,
) -> None:
    """Asked once more; then written down as it was, out of every window, with the conflict for its words."""
    disagree(at_work)
    assert seen(at_work).setting is None and seen(at_work).window is None
    with pytest.raises(InputRefused, match="Was it really so"):
        done(at_work, 5.5)
    kept = done(at_work, 5.5, sure=True)
    assert not kept.inside and not kept.holds and kept.done == 5.5
    with pytest.raises(NoSafeAnswer) as conflict:
        joint_window(STEM, at_work.record.bike)
    assert kept.words.startswith(conflict.value.sentence[:100])
    assert undone_joints(at_work.record)[STEM].endswith("torque saved outside its range.")


def test_a_tick_where_the_parts_disagree_is_no_tick_of_a_joint_that_holds(at_work: Story) -> None:
    """Moved and sure, it is kept as out of its window; held, it can't be said."""
    disagree(at_work)
    with pytest.raises(NotPossibleNow, match="can't be said to hold"):
        tick_joint(TickRequest(at_work.tag, STEM, True), by=at_work.first, key=at_work.key(), now=NOW)
    moved = TickRequest(at_work.tag, STEM, False, wrench().pk, 5.5)
    with pytest.raises(InputRefused, match="Then save it again"):
        tick_joint(moved, by=at_work.first, key=at_work.key(), now=NOW)
    sure = TickRequest(at_work.tag, STEM, False, wrench().pk, 5.5, sure=True)
    kept = tick_joint(sure, by=at_work.first, key=at_work.key(), now=NOW)
    assert not kept.inside and not kept.held and "look at it again after the next ride" in kept.words


def test_a_value_below_what_the_tool_is_vouched_for_is_uncertain_and_says_what_to_do(at_work: Story) -> None:
    """2 to 14 N·m is vouched for from a fifth up, 2.8: a lever clamp at 2.5 by it may be anything."""
    with pytest.raises(
        InputRefused, match=r"can be trusted from 2\.8 N·m up.*Undo, and tighten again with a smaller"
    ):
        done(at_work, 2.5)
    kept = done(at_work, 2.5, sure=True)
    assert not kept.inside and "Cannot tell" in kept.words
    assert STEM in undone_joints(at_work.record)


def test_what_stands_open_is_said_with_its_reason(at_work: Story) -> None:
    """No value; out; in doubt; and nothing of what holds."""
    name = joint_name(STEM)
    assert undone_joints(at_work.record)[STEM] == f"{name}: torque not saved yet."
    done(at_work, 9.0, sure=True)
    assert undone_joints(at_work.record)[STEM] == f"{name}: torque saved outside its range."
    setting = seen(at_work).setting
    assert setting is not None
    done(at_work, setting.set)
    assert STEM not in undone_joints(at_work.record)


def test_a_further_value_corrects_the_one_before(at_work: Story) -> None:
    """Both stay on record, one stands."""
    setting = seen(at_work).setting
    assert setting is not None
    for value in (setting.set, setting.lowest):
        done(at_work, value)
    assert DoneValue.objects.count() == 2
    (row,) = DoneValue.objects.filter(event__corrected_by__isnull=True)
    assert row.done_n_m == setting.lowest and row.set_n_m == setting.set
    assert seen(at_work).set_then == setting.set


def test_what_was_set_is_kept_as_said_or_as_the_sheet_had_it_for_this_tool(at_work: Story) -> None:
    """Another tool than the sheet's has no setting of the sheet."""
    setting = seen(at_work).setting
    assert setting is not None and setting.tool == str(wrench().pk)
    assert done(at_work, setting.set).set == setting.set
    assert done(at_work, setting.set, set_n_m=setting.lowest).set == setting.lowest
    other = next(
        tool
        for tool in Tool.objects.exclude(pk=wrench().pk)
        if (spec := torque_tool(tool)) and not spec.steps and spec.least <= setting.set <= spec.greatest
    )
    assert done(at_work, setting.set, tool=other.pk, sure=True).set is None


def test_the_same_tap_twice_is_one_value(at_work: Story) -> None:
    """By its mark, by a tool and by hand."""
    setting = seen(at_work).setting
    assert setting is not None
    asked = DoneRequest(at_work.job, STEM, wrench().pk, setting.set)
    first = record_done(asked, by=at_work.first, key="done-tap-01", now=NOW)
    assert record_done(asked, by=at_work.first, key="done-tap-01", now=NOW).id == first.id
    hand = "valve-nut:rear"
    add_joint(AddJointRequest(at_work.job, hand), by=at_work.first, key=at_work.key(), now=NOW)
    by_hand = DoneByHandRequest(at_work.job, hand)
    again = tighten_by_hand(by_hand, by=at_work.first, key="hand-tap-01", now=NOW)
    assert tighten_by_hand(by_hand, by=at_work.first, key="hand-tap-01", now=NOW).id == again.id
    assert DoneValue.objects.count() == 2 and again.tool == "by hand" and again.inside and again.done is None


@pytest.mark.parametrize("value", [0.09, 300.1])
def test_a_value_out_of_any_sense_is_refused(at_work: Story, value: float) -> None:
    """A tenth to three hundred."""
    with pytest.raises(InputRefused, match=r"0\.1 to 300"):
        done(at_work, value)


def test_what_is_not_on_the_sheet_or_on_no_stand_is_not_done(at_work: Story, asked_for: Story) -> None:
    """The joint first goes onto the sheet, the bike onto a stand; a key shows no torque."""
    with pytest.raises(NotPossibleNow, match="not on the torque sheet"):
        done(at_work, 5.0, "bottle-boss")
    with pytest.raises(NotPossibleNow, match="The work has not started"):
        done(asked_for, 5.0)
    key = Tool.objects.create(table_id="hex-5", name="5 mm key")
    with pytest.raises(NotPossibleNow, match="5 mm key shows no torque"):
        done(at_work, 5.0, tool=key.pk)
    with pytest.raises(NotPossibleNow, match="is not done by hand"):
        asked = DoneByHandRequest(at_work.job, STEM)
        tighten_by_hand(asked, by=at_work.first, key=at_work.key(), now=NOW)


def test_a_joint_is_put_on_the_sheet_once(at_work: Story) -> None:
    """A second tap with its mark is nothing; another is told."""
    asked = AddJointRequest(at_work.job, "bottle-boss")
    for _ in range(2):
        add_joint(asked, by=at_work.first, key="add-joint-01", now=NOW)
    assert Event.objects.filter(kind="joint added").count() == 1
    with pytest.raises(NotPossibleNow, match="is on the torque sheet already"):
        add_joint(asked, by=at_work.first, key="add-joint-02", now=NOW)
    with pytest.raises(InputRefused, match='"jjjj'):
        add_joint(AddJointRequest(at_work.job, "j" * 60), by=at_work.first, key="add-joint-03", now=NOW)
    with pytest.raises(InputRefused) as fault:
        joint_row("k" * 60)
    assert f'"{"k" * 40}" is not in the table' in fault.value.errors["joint"]


def test_a_joint_whose_row_left_the_tables_stays_open_and_nothing_is_made_up(at_work: Story) -> None:
    """On the sheet it is one bolt, turned as found, that can throw the rider, without figure and without done value."""
    Event.objects.create(
        at=NOW,
        by_id=at_work.first,
        kind="joint added",
        key="gone-bolt-01",
        fingerprint="",
        job=at_work.record,
        bike=at_work.record.bike,
        said={"job": at_work.job, "joint": "gone-bolt"},
    )
    gone = seen(at_work, "gone-bolt")
    assert (gone.name, gone.critical, gone.count, gone.drive) == ("gone bolt", "A", 1, ("as found",))
    assert gone.window is None and gone.setting is None and gone.bolt is None and not gone.by_hand
    assert gone.new_setting and not (
        gone.star or gone.head_read or gone.targeted or gone.asks or gone.counter
    )
    assert "is in no table of joints any more" in gone.refused and gone.no_head
    assert not seen(at_work).no_head
    assert undone_joints(at_work.record)["gone-bolt"] == "gone bolt: torque not saved yet."


def test_a_marking_is_said_as_it_was_read(at_work: Story) -> None:
    """Greatest, range, named value, and both in one line."""
    for told, words in (
        ({"greatest_n_m": 6.0}, "stem marked 6 N·m max"),
        ({"greatest_n_m": 6.0, "least_n_m": 4.5}, "stem marked 4.5 to 6 N·m"),
        ({"target_n_m": 5.0}, "stem: 5 N·m is the value to use"),
        ({"greatest_n_m": 6.0, "target_n_m": 5.0}, "stem marked 6 N·m max; 5 N·m is the value to use"),
    ):
        marking = MarkingRequest(at_work.tag, STEM, "stem", **told)
        read = read_marking(marking, by=at_work.first, key=at_work.key(), now=NOW)
        assert read.markings == (words,)
        assert read.targeted is ("target_n_m" in told)


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({}, "greatest_n_m"),
        ({"least_n_m": 4.0}, "greatest_n_m"),
        ({"target_n_m": 5.0, "least_n_m": 4.0}, "least_n_m"),
        ({"greatest_n_m": 5.0, "least_n_m": 5.1}, "least_n_m"),
        ({"greatest_n_m": 5.0, "target_n_m": 5.1}, "target_n_m"),
        ({"greatest_n_m": 120.1}, "greatest_n_m"),
        ({"greatest_n_m": 0.09}, "greatest_n_m"),
    ],
)
def test_half_a_marking_is_refused(at_work: Story, told: dict[str, float], field: str) -> None:
    """Nothing read, a least alone, ends turned round, a value past the greatest, or out of sense."""
    with pytest.raises(InputRefused) as fault:
        marking = MarkingRequest(at_work.tag, STEM, "stem", **told)
        read_marking(marking, by=at_work.first, key=at_work.key(), now=NOW)
    assert field in fault.value.errors
    with pytest.raises(InputRefused, match="is not clamped by"):
        strange = MarkingRequest(at_work.tag, STEM, "crank", 5.0)
        read_marking(strange, by=at_work.first, key=at_work.key(), now=NOW)


def test_the_sheet_carries_what_is_open_and_every_joint_in_order(at_work: Story) -> None:
    """The proof of the order, and each change of tool or setting said once."""
    sheet = sheet_with_order(job_by_id(at_work.job), TODAY)
    changes = sum(one.new_setting for one in sheet.joints if one.setting is not None)
    assert changes == sheet.order.settings >= sheet.order.at_least > 0
    assert sheet.order.words == sheet.order.reasons[0].words
    ring = [one for one in sheet.joints if one.star]
    assert all(one.count >= 3 for one in ring)


def test_a_round_counts_its_ticks_and_asks_again_after_the_term(at_work: Story) -> None:
    """Three months for a stem's face: the day before it is not due, that day it is."""
    asked = TickRequest(at_work.tag, STEM, True)
    tick_joint(asked, by=at_work.first, key=at_work.key(), now=NOW)
    today = bolt_round(at_work.tag, "whole", NOW)
    one = next(one for one in today.joints if one.joint.joint == STEM)
    assert today.ticked == 1 and one.tick is not None and one.tick.held and one.last == TODAY
    assert one.due is not None and not one.is_due
    for days, due in ((-1, False), (0, True)):
        late = NOW + timedelta(days=(one.due - TODAY).days + days)
        assert (STEM in {seen.joint.joint for seen in bolt_round(at_work.tag, DUE, late).joints}) is due
    assert RoundTick.objects.get().set_n_m == one.tick.set


def test_a_joint_of_a_part_without_a_bike_asks_for_the_lowest(at_work: Story) -> None:
    """Not on the build sheet, all that its row names is clamped, and the lowest figures hold."""
    view = joint_view("axle-nut-rear", at_work.record.bike, None, TODAY)
    row = joint_row("axle-nut-rear")
    assert view.parts == row.parts and view.window is not None and view.window.cap <= row.high


@pytest.mark.parametrize(("cap", "by_hand"), [(0.9, True), (1.0, True), (1.01, False), (1.1, False)])
def test_by_hand_is_up_to_one_newton_metre(at_work: Story, cap: float, by_hand: bool) -> None:
    """Pad pins and preload caps (common practice, no source); a hair more takes a tool."""
    found = replace(joint_window(STEM, at_work.record.bike), floor=0.5, cap=cap, aim=0.7)
    assert is_by_hand(found) is by_hand


def test_the_same_marking_tapped_twice_is_one(at_work: Story) -> None:
    """By its mark; the answer is the joint as it stands."""
    asked = MarkingRequest(at_work.tag, STEM, "stem", 5.0)
    for _ in range(2):
        read = read_marking(asked, by=at_work.first, key="marking-tap-1", now=NOW)
        assert read.window is not None and read.window.cap == 5.0
    assert Marking.objects.count() == 1
