"""The bolt round: which joints, in which order, what a tick says and what it keeps."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import RoundTick, Tool
from pinchbolt.reference import tables
from pinchbolt.workshop.bikes.change_build import AddRequest, add_part
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.torque.bolt_round import (
    DUE,
    FIRST,
    MONTHLY,
    WHOLE,
    RoundJoint,
    TickRequest,
    bolt_round,
    tick_joint,
)
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from tests import story
from tests.story import NOW, STEM, TODAY, Story


def in_round(story: Story, which: str = WHOLE) -> dict[str, RoundJoint]:
    """The joints of the round by name."""
    return {one.joint.joint: one for one in bolt_round(story.tag, which, NOW).joints}


NOT_TRIED = {
    "top-cap", "crank-preload-cap", "spoke-nipple", "hub-cone-locknut", "quick-release", "valve-nut",
    "bleed-nipple", "bleed-screw", "hose-nut", "banjo", "bb-threaded-cup", "expander-plug", "jockey-bolt",
    "cassette-lockring", "freehub-body-bolt",
}  # fmt: skip


def tick(story: Story, joint: str, held: bool = True, key: str = "", **more: object) -> None:
    """A tick by the first mechanic."""
    asked = TickRequest(story.tag, joint, held, **more)  # type: ignore[arg-type]
    tick_joint(asked, by=story.first, key=key or story.key(), now=NOW)


def wrench() -> Tool:
    """A click wrench of the board."""
    return Tool.objects.get(name__startswith="small click wrench")


def test_a_gravel_bike_gets_the_whole_round_and_nothing_that_is_set_by_feel(arrived: Story) -> None:
    """Shaken bikes: every bolt. Bearing preload and spokes are not tried with a wrench (common practice, no source)."""
    seen = bolt_round(arrived.tag, "", NOW)
    assert seen.which == WHOLE
    names = {joint_id(one.joint.joint) for one in seen.joints}
    on_bike = {joint_id(name) for name in story.joints_on(arrived.tag)}
    assert STEM in names and "thru-rear" in names
    # By play, by tension, by hand; sealed, under oil or air, or behind what comes off: trying would undo what holds.
    assert on_bike - names == NOT_TRIED & on_bike
    assert {"hose-nut", "bb-threaded-cup", "expander-plug", "jockey-bolt"} <= on_bike - names


def test_the_first_ride_takes_what_settles_within_100_km(arrived: Story) -> None:
    """Every joint whose row asks for a check by then, and no other (distances of the joints table)."""
    names = {joint_id(name) for name in in_round(arrived, FIRST)}
    wanted = {
        joint_id(name)
        for name in story.joints_on(arrived.tag)
        if (tables().joints[joint_id(name)].first_km or 1e9) <= 100
    }
    assert names == wanted - {"top-cap"}


def test_the_monthly_round_takes_axles(arrived: Story) -> None:
    """Thru axles have a term of one month in the joints table."""
    assert {joint_id(name) for name in in_round(arrived, MONTHLY)} == {"thru-front", "thru-rear"}


def test_each_joint_has_its_tool_and_setting_inside_its_window(arrived: Story) -> None:
    """As on the torque sheet, markings counted."""
    read_marking(
        MarkingRequest(arrived.tag, STEM, "handlebar", 5.0), by=arrived.first, key=arrived.key(), now=NOW
    )
    face = in_round(arrived)[STEM].joint
    assert face.setting is not None and face.window is not None
    assert face.window.floor <= face.setting.applies.low and face.setting.applies.high <= 5.0


def test_a_joint_that_held_is_ticked_and_due_again_after_its_term(arrived: Story) -> None:
    """Three months for a stem face plate (joints table); then it is out of the due round and back in it later."""
    assert STEM in in_round(arrived, DUE)
    tick(arrived, STEM)
    one = in_round(arrived)[STEM]
    assert one.tick is not None and one.tick.held and one.tick.set is not None
    assert one.last == TODAY and one.due is not None and (one.due.year, one.due.month) == (2027, 2)
    assert STEM not in in_round(arrived, DUE)
    later = bolt_round(arrived.tag, DUE, NOW + timedelta(days=100))
    assert STEM in {one.joint.joint for one in later.joints}
    assert all(one.tick is None for one in later.joints), "a new day is a new round"


def test_a_joint_that_moved_says_to_look_again(arrived: Story) -> None:
    """Its value is judged as on the torque sheet."""
    tick(arrived, STEM, held=False, tool=wrench().pk, done_n_m=5.0)
    seen = in_round(arrived)[STEM].tick
    assert seen is not None and not seen.held and seen.inside and seen.done == 5.0
    assert "look at it again after the next ride" in seen.words


def test_a_value_out_of_the_window_asks_first_and_is_kept_when_sure(arrived: Story) -> None:
    """7 N·m on a joint of 4 to 6."""
    with pytest.raises(InputRefused, match=r"Too tight.*Then save it again"):
        tick(arrived, STEM, held=False, tool=wrench().pk, done_n_m=7.0)
    assert not RoundTick.objects.exists()
    tick(arrived, STEM, held=False, tool=wrench().pk, done_n_m=7.0, sure=True)
    seen = in_round(arrived)[STEM].tick
    assert seen is not None and not seen.inside


def test_a_second_tick_of_the_day_corrects_the_first(arrived: Story) -> None:
    """Both are kept; one counts."""
    tick(arrived, STEM)
    tick(arrived, STEM, held=False, tool=wrench().pk, done_n_m=5.0)
    assert RoundTick.objects.count() == 2
    seen = in_round(arrived)[STEM].tick
    assert seen is not None and seen.done == 5.0


def test_the_same_tap_twice_is_one_tick(arrived: Story) -> None:
    """One request mark, one row."""
    tick(arrived, STEM, key="round-tap-0001")
    tick(arrived, STEM, key="round-tap-0001")
    assert RoundTick.objects.count() == 1


def test_a_joint_without_a_safe_setting_can_not_be_said_to_hold(arrived: Story) -> None:
    """A pivot without its maker's figure: nothing is known to try it with."""
    add_part(AddRequest(arrived.tag, "pivots"), by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="can't be said to hold, because no setting is sure"):
        tick(arrived, "pivot-bolt")


@pytest.mark.parametrize(
    ("joint", "more", "said"),
    [
        ("no-such", {}, 'has no joint "no-such"'),
        (STEM, {"held": False}, "type what the tool showed"),
    ],
)
def test_a_tick_that_says_nothing_is_refused(
    arrived: Story, joint: str, more: dict[str, object], said: str
) -> None:
    """With what is needed."""
    with pytest.raises(InputRefused, match=said):
        tick(arrived, joint, **more)  # type: ignore[arg-type]


def test_a_round_or_a_bike_that_is_not_there_is_said(arrived: Story) -> None:
    """With those that are."""
    with pytest.raises(InputRefused, match='There is no round "yearly": whole, first-ride, monthly, due'):
        bolt_round(arrived.tag, "yearly", NOW)
    with pytest.raises(NotFound, match="No bike has the tag"):
        bolt_round("XX-9", "", NOW)


@pytest.mark.parametrize(
    ("template", "joint", "how"),
    [
        ("folding", "folding-hinge", "second catch closed"),
        ("tourer", "quick-release:rear", "palm print when closed"),
        ("road-disc", "pad-pin:rear", "its lock in place"),
    ],
)
def test_what_is_tried_by_hand_and_held_counts_as_held(db: None, template: str, joint: str, how: str) -> None:
    """A hinge, a lever, a pad pin with its clip: good as they are, with how they were tried and no tool and no figure."""
    there = story.checked_in(template)
    asked = TickRequest(there.tag, joint, True)
    told = tick_joint(asked, by=there.first, key=there.key(), now=NOW)
    assert told.held and told.inside and told.tool == "by hand"
    assert told.words.startswith("Held: tried by hand") and how in told.words
    row = RoundTick.objects.get()
    assert (row.inside, row.tool, row.set_n_m, row.done_n_m) == (True, None, None, None)
