"""Each act at a wheel is taken back by one tap, and its sheet says again what it said."""

from collections.abc import Callable

import pytest

from pinchbolt.records.models import Event
from pinchbolt.workshop.came_up.undo_act import UndoRequest, acts_today, undo_act
from pinchbolt.workshop.questions.ask_wheel_plan import WheelLimitsAsked
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.describe_wheel import DescribeWheelRequest, describe_wheel
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from tests.story import NOW
from tests.workshop.wheels.wheel_story import OnStand, facts, in_stand

DOINGS: dict[str, Callable[[OnStand], object]] = {
    "wheel measured": lambda on: describe_wheel(
        DescribeWheelRequest(on.told.job, on.part, facts(), WheelLimitsAsked(side_mm=0.3)),
        by=on.told.first, key=on.told.key(), now=NOW,
    ),
    "wheel read": lambda on: on.read(dish_mm=1.0),
    "spokes plucked": lambda on: note_pitches(
        HearSpokesRequest(on.told.job, on.part, (HeardSpoke(3, 401.5),)),
        by=on.told.first, key=on.told.key(), now=NOW,
    ),
    "nipple turned": lambda on: on.turn(4, -2),
    "spoke broke": lambda on: break_spoke(
        BreakSpokeRequest(on.told.job, on.part, "elbow", 9, 1200.0), by=on.told.first, key=on.told.key(), now=NOW
    ),
}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("kind", DOINGS)
def test_an_act_and_its_undo_leave_the_sheet_as_it_was(kind: str) -> None:
    """Measured anew, read, plucked, turned, broken: after one tap back nothing of it counts."""
    on = in_stand()
    on.read()
    before = on.sheet()
    DOINGS[kind](on)
    # A reading brings findings along: the act itself bears a mark without a further name.
    assert Event.objects.filter(job=on.told.job).exclude(key__contains="/").latest("pk").kind == kind
    assert on.sheet() != before
    newest = acts_today(on.told.record, NOW)[0]
    assert newest.why_not == "", newest.why_not
    undo_act(UndoRequest(on.told.job, newest.event), by=on.told.first, key=on.told.key(), now=NOW)
    assert on.sheet() == before
