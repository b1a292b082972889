"""The torque sheet on paper: what a hand closes is said as such, and nothing is said against it; up to 14 joints are one page."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from pinchbolt.paper import render
from pinchbolt.records.models import Workshop
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, torque_sheet
from tests import story
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
        assert "no torque tool goes this low" in told
        assert "No safe setting" not in told


@pytest.mark.django_db
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_up_to_fourteen_joints_are_one_page(paper: str) -> None:
    """A safety check of a mountain bike: twelve joints of class A with their cautions, two questions, two weak keys."""
    there = story.checked_in("hardtail")
    Workshop.objects.update(paper=paper)
    asked = ProposeRequest(there.job, "safety-check")
    line = propose(asked, by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    assert 10 <= len(torque_sheet(there.record, TODAY)) <= 14
    pdf = render("torque-sheet", there.job, NOW)
    assert len(PdfReader(BytesIO(pdf)).pages) == 1
    # Asked once for both ends.
    assert words(pdf).count("an adapter is between caliper and mount") == 1
    assert "(front brake, rear brake)" in words(pdf)
