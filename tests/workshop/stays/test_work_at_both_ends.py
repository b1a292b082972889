"""Work on one wheel or one brake is a line for each end: proposed twice, its axle on the sheet, shared work counted per end."""

import pytest

from pinchbolt.records.models import Line
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, start_work
from pinchbolt.workshop.stays.suggest import suggestions
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import torque_sheet, undone_joints
from tests import story
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import part_on, read

pytestmark = pytest.mark.django_db


def put_on(there: Story, operation: str, finding: int | None) -> Line:
    """One line of the menu for a finding."""
    found = propose(ProposeRequest(there.job, operation, finding), by=there.first, key=there.key(), now=NOW)
    return Line.objects.get(pk=found.line)


def worn_pads(template: str = "road-disc") -> tuple[Story, dict[str, int]]:
    """A bike whose pads are done at both ends, and the findings by end."""
    there = story.checked_in(template)
    found = {}
    for end in ("front", "rear"):
        pads = part_on(there, "pads", end)
        read(there, pads, "disc-pad-lining-resin", value=0.4)
        found[end] = pads.findings.get().pk
    return there, found


def test_worn_pads_at_both_ends_are_two_lines() -> None:
    """The second set was never proposed while one was on the list."""
    there, found = worn_pads()
    asked = {one.finding for one in suggestions(there.record) if one.operation == "pads-disc"}
    assert asked == set(found.values())
    put_on(there, "pads-disc", found["front"])
    left = [one.finding for one in suggestions(there.record) if one.operation == "pads-disc"]
    assert left == [found["rear"]]


def test_each_set_of_pads_brings_the_axle_of_its_own_wheel() -> None:
    """The wheel came out: its axle is on the torque sheet, the other's is not."""
    there, found = worn_pads()
    assert "thru-front:front" in put_on(there, "pads-disc", found["front"]).joints
    rear = put_on(there, "pads-disc", found["rear"]).joints
    assert "thru-rear:rear" in rear and "thru-front:front" not in rear


def test_pads_and_rotor_at_one_end_share_the_wheel_that_is_out() -> None:
    """Stand 2, wheel 2 minutes less in front; pads at the other end spare the stand alone."""
    there, found = worn_pads()
    put_on(there, "pads-disc", found["front"])
    rotor = part_on(there, "rotor", "front")
    read(there, rotor, "rotor-thickness-1.8", value=1.4)
    put_on(there, "rotor", rotor.findings.get().pk)
    put_on(there, "pads-disc", found["rear"])
    spared = {
        (line.operation, line.finding): line.money.saved_minutes for line in estimate(there.record).lines
    }
    assert sorted(spared.values()) == [0, 2, 4]


def test_two_tyres_are_two_tyres() -> None:
    """A tyre off in front spares nothing behind but the stand."""
    there = story.checked_in("road-rim")
    for end in ("front", "rear"):
        tyre = part_on(there, "tyre", end)
        read(there, tyre, "tyre-cut", word="yes")
        put_on(there, "tyre-tube", tyre.findings.get().pk)
    assert sorted(line.money.saved_minutes for line in estimate(there.record).lines) == [0, 2]


def test_a_lever_is_closed_by_hand_and_said_so() -> None:
    """No torque tool takes hold of a quick-release: a tyre change must not wait for one."""
    there = story.checked_in("road-rim")
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    line = put_on(there, "tyre-tube", tyre.findings.get().pk)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line.pk: True}), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    (lever,) = torque_sheet(there.record, TODAY)
    assert (lever.joint, lever.setting, lever.by_hand) == ("quick-release:rear", None, True)
    tighten_by_hand(DoneByHandRequest(there.job, lever.joint), by=there.first, key=there.key(), now=NOW)
    assert undone_joints(there.record) == {}
