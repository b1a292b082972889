"""From the template to the sign-off on each of the newer kinds of bike: look, finding, line, job card, torque sheet, mended."""

from dataclasses import dataclass, field

import pytest

from pinchbolt.records.models import Line
from pinchbolt.values import Verdict
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.suggest import suggestions
from pinchbolt.workshop.stays.walk_round import walk_round
from pinchbolt.workshop.torque.torque_sheet import joints_of
from tests import story
from tests.story import NOW
from tests.workshop.build_story import part_on, read

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Walk:
    """A look that fails on a part, the work that it asks for first, and what comes with that work."""

    template: str
    part: tuple[str, str]
    limit: str
    operation: str
    joints: set[str] = field(default_factory=set)
    parts: list[str] = field(default_factory=list)


# Written down first: what a mechanic would put on the card (common practice, no source).
WALKS = [
    Walk("city-coaster", ("coaster brake", "rear"), "reaction-arm", "hub-brake-service", {"reaction-arm:rear", "axle-nut-rear:rear"}),
    Walk("ebike-belt", ("belt", ""), "belt-damage", "belt", {"axle-nut-rear:rear"}, ["drive belt", "belt sprocket, rear"]),
    Walk("ebike-hub-motor", ("hub motor", "rear"), "motor-axle", "motor-axle-set", {"axle-nut-motor:rear"}),
    Walk("e-mtb", ("wheel", "front"), "axle-closed", "axle-set", {"thru-front:front"}),
    Walk("cargo-front-loader", ("steering linkage", ""), "steering-rod", "steering-cargo", {"cargo-steering-rod"}),
    Walk("hybrid-disc", ("brake", "front"), "brake-bite", "pads-disc",
         {"pad-pin:front", "quick-release:front"}, ["disc pads, resin, one brake"]),
    Walk("child-small", ("stem", ""), "bar-slip", "bar-set", {"stem-face-1", "quill-wedge"}),
    Walk("folding", ("hinge", "front"), "hinge-closed", "hinge-service", {"folding-hinge"}),
    Walk("tandem", ("rear derailleur", ""), "derailleur-spokes", "gears-adjust", {"rear-mech"}),
]  # fmt: skip


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.template)
def test_a_look_that_fails_ends_in_work_that_is_done_to_its_value(walk: Walk) -> None:
    """Each is unsafe when it is found and not when its own work was done; its joints wait on the torque sheet."""
    there = story.checked_in(walk.template)
    part = part_on(there, *walk.part)
    due = {
        one.limit
        for place in walk_round(there.record, NOW)
        for one in place.readings
        if one.part == part.pk and not one.is_deeper
    }
    assert walk.limit in due
    read(there, part, walk.limit, word="yes")
    found = part.findings.get()
    assert found.verdict == Verdict.UNSAFE
    first = suggestions(there.record)[0]
    assert (first.operation, first.finding) == (walk.operation, found.pk)
    line = propose(
        ProposeRequest(there.job, first.operation, found.pk), by=there.first, key=there.key(), now=NOW
    )
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line.line: True}), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    (card,) = job_card(there.record).lines
    assert card.steps and card.checks
    assert [one.name for one in card.parts] == walk.parts
    assert walk.joints <= set(joints_of(there.record))
    assert len(sign_off_list(there.record, NOW).unsafe_declined) == 1
    finish_line(LineDoneRequest(there.job, line.line), by=there.first, key=there.key(), now=NOW)
    after = sign_off_list(there.record, NOW)
    assert after.unsafe_declined == ()
    open_joints = {name for item in after.items for name in item.open_joints}
    assert open_joints <= set(Line.objects.get(pk=line.line).joints)
