"""A joint of which nobody knows whether the bike has it is asked for in one line, and is never missing without a word."""

import pytest

from pinchbolt.engines.build import open_joints
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.opened_joints import JointQuestion
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.torque.bolt_round import FIRST, MONTHLY, WHOLE, bolt_round
from pinchbolt.workshop.torque.record_done import DoneRequest, record_done
from pinchbolt.workshop.torque.torque_sheet import joints_of, sheet_with_order, torque_sheet
from tests.story import NOW, TODAY, Story, joints_on
from tests.workshop.build_story import add, bike, describe, from_nothing, part_on

pytestmark = pytest.mark.django_db


def agreed(there: Story, operation: str, place: str = "") -> Story:
    """Work of the menu is on the estimate, the owner agreed, and the bike is on a stand."""
    propose(ProposeRequest(there.job, operation, place=place), by=there.first, key=there.key(), now=NOW)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    said = {line.pk: True for line in there.record.lines.all()}
    answer(AnswerRequest(there.job, said, "by phone"), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    return there


@pytest.fixture
def bare(db: None) -> Story:
    """A bike from nothing with a stem that nobody has looked at; its bar is to be replaced."""
    there = from_nothing("city")
    add(there, "headset", facts={"headset_kind": "top cap"})
    add(there, "fork", facts={"springing": "none", "material": "steel"})
    add(there, "handlebar", facts={"material": "aluminium"})
    add(there, "grips", facts={"grip_hold": "clamp"})
    add(there, "stem")
    return agreed(there, "bars-stem")


def asked(there: Story) -> dict[str, JointQuestion]:
    """What the torque sheet asks, by the fact."""
    return {one.question.fact: one for one in sheet_with_order(there.record, TODAY).open}


def done_all(there: Story) -> None:
    """Every joint of the sheet is done at its setting, and every line."""
    for joint in torque_sheet(there.record, TODAY):
        if joint.setting is None:
            continue
        at = joint.setting.set
        record_done(
            DoneRequest(there.job, joint.joint, int(joint.setting.tool), at, at),
            by=there.first,
            key=there.key(),
            now=NOW,
        )
    for line in there.record.lines.all():
        finish_line(LineDoneRequest(there.job, line.pk, ()), by=there.first, key=there.key(), now=NOW)


def test_one_line_for_all_that_wait_for_one_fact(bare: Story) -> None:
    """Three rows of a stem's face wait for one count: one question with its answers, how to find out, and what hangs on it.

    The row of a carbon bar does not wait: the bar is of aluminium.
    """
    questions = asked(bare)
    assert set(questions) == {"face_bolts", "stem_kind"}
    face = questions["face_bolts"]
    assert face.question.choices == ("0", "1", "2", "4") and face.critical == "A"
    assert set(face.joints) == {"stem-face-4", "stem-face-2", "stem-face-1"}
    assert face.words.startswith("Not known: how many bolts hold the bar (stem).")
    assert "Count them on the stem's face" in face.words


def test_what_can_throw_the_rider_stops_the_sign_off_until_it_is_told(bare: Story) -> None:
    """The work opened a stem of which nobody knows the bolts: not signed off; once told, its joints are asked for instead."""
    stops = sign_off_list(bare.record, NOW).stops
    assert len([stop for stop in stops if stop.startswith("Not known: how many bolts hold the bar")]) == 1
    assert len([stop for stop in stops if stop.startswith("Not known: how the stem is held")]) == 1
    describe(bare, part_on(bare, "stem"), face_bolts=2, stem_kind="two bolts")
    stops = sign_off_list(bare.record, NOW).stops
    assert not [stop for stop in stops if stop.startswith("Not known")]
    assert [stop for stop in stops if "stem face plate, two bolts" in stop or "stem to steerer" in stop]


def test_once_told_the_joint_is_on_the_sheet_and_a_slip_is_put_right(bare: Story) -> None:
    """Four, no, two: the sheet follows the newest word; the line was written before either."""
    stem = part_on(bare, "stem")
    assert not {name for name in joints_of(bare.record) if name.startswith("stem-face")}
    describe(bare, stem, face_bolts=4)
    assert {name for name in joints_of(bare.record) if name.startswith("stem-face")} == {"stem-face-4"}
    assert set(asked(bare)) == {"stem_kind"}
    describe(bare, stem, face_bolts=2)
    assert {name for name in joints_of(bare.record) if name.startswith("stem-face")} == {"stem-face-2"}
    describe(bare, stem, face_bolts=None)
    assert "face_bolts" in asked(bare)


def test_a_build_that_guessed_four_bolts_is_put_right_on_the_stand() -> None:
    """The line was written with the template's four; two are found: the sheet has two, and nobody is held up by four."""
    there = agreed(bike("road-disc"), "bars-stem")
    assert "stem-face-4" in joints_of(there.record)
    describe(there, part_on(there, "stem"), face_bolts=2)
    names = joints_of(there.record)
    assert "stem-face-2" in names and "stem-face-4" not in names


def test_what_was_done_stays_on_the_sheet_whatever_is_found_out_later() -> None:
    """A done value is a record; and once the job is over a later look at the bike changes nothing on its sheet."""
    there = agreed(bike("road-disc"), "bars-stem")
    done_all(there)
    before = joints_of(there.record)
    describe(there, part_on(there, "stem"), face_bolts=2)
    assert set(before) <= set(joints_of(there.record))
    assert "stem-face-2" in joints_of(there.record)


def test_work_that_opens_nothing_unknown_asks_nothing() -> None:
    """A stem that nobody looked at does not stand before a tube."""
    there = agreed(from_nothing("road"), "tyre-tube", "rear")
    add(there, "stem")
    assert asked(there) == {}
    assert not [stop for stop in sign_off_list(there.record, NOW).stops if stop.startswith("Not known")]


def test_a_joint_that_stands_in_is_no_open_question() -> None:
    """Four bolts and a bar of unknown make: the careful joint is on the sheet and says so; it is not asked a second time."""
    there = from_nothing("city")
    add(there, "handlebar")
    add(there, "stem", facts={"face_bolts": 4, "stem_kind": "two bolts"})
    agreed(there, "bars-stem")
    assert "stem-face-4-carbon" in joints_of(there.record) and "stem-face-4" not in joints_of(there.record)
    assert asked(there) == {}
    seen = next(one for one in torque_sheet(there.record, TODAY) if one.joint == "stem-face-4-carbon")
    assert seen.asks


def test_the_bolt_round_asks_too_each_round_what_it_takes(bare: Story) -> None:
    """The whole round asks for the stem's bolts; what is tried every month alone asks for nothing that is tried less often."""
    whole = {one.question.fact for one in bolt_round(bare.tag, WHOLE, NOW).open}
    assert {"face_bolts", "stem_kind"} <= whole
    monthly = {name for one in bolt_round(bare.tag, MONTHLY, NOW).open for name in one.joints}
    first = {name for one in bolt_round(bare.tag, FIRST, NOW).open for name in one.joints}
    assert "stem-face-4" not in monthly and "stem-face-4" in first
    describe(bare, part_on(bare, "stem"), face_bolts=4, stem_kind="two bolts")
    assert not {"face_bolts", "stem_kind"} & {
        one.question.fact for one in bolt_round(bare.tag, WHOLE, NOW).open
    }
    assert {"stem-face-4", "stem-steerer-2"} <= {
        one.joint.joint for one in bolt_round(bare.tag, WHOLE, NOW).joints
    }


def test_no_joint_is_both_open_and_there_and_each_waits_once() -> None:
    """On a bike with every part of which nothing is known: each joint that waits stands under one question."""
    there = from_nothing("mtb")
    for kind in ("stem", "handlebar", "headset", "fork", "seat post", "crank", "bottom bracket", "grips"):
        add(there, kind)
    for end in ("front", "rear"):
        for kind in ("brake", "wheel", "rotor"):
            add(there, kind, end)
    build = build_of(there.record.bike)
    waiting = [joint.name for one in open_joints(build) for joint in one.joints]
    assert len(waiting) == len(set(waiting))
    assert not set(waiting) & set(joints_on(there.tag))
    keys = [(one.ask.part.id, one.ask.fact.id) for one in open_joints(build)]
    assert len(keys) == len(set(keys))
    assert {"face_bolts", "stem_kind", "crank_hold", "axle_hold", "rotor_kind", "stops_on"} <= {
        fact for _, fact in keys
    }
