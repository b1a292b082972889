"""The torque sheet on paper: what a hand closes is said as such, and nothing is said against it."""

from pinchbolt.paper import render
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, torque_sheet
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story

PIN = "pad-pin:rear"


def test_a_joint_that_a_hand_closes_is_not_refused_beside_it(worked: Story) -> None:
    """A pad pin of 0.1 to 1 N·m: by hand, on the screen's own words and on paper; no talk of a tool that there is not."""
    if PIN not in {one.joint for one in torque_sheet(worked.record, TODAY)}:
        add_joint(AddJointRequest(worked.job, PIN), by=worked.first, key=worked.key(), now=NOW)
    pin = next(one for one in torque_sheet(worked.record, TODAY) if one.joint == PIN)
    assert pin.by_hand and pin.setting is None
    paper = words(render("torque-sheet", worked.job, NOW))
    for told in (pin.refused, paper):
        assert "no torque tool reaches down to this joint" in told
        assert "No setting is safe" not in told
