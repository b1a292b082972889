"""The safety list is as wide as the work: always a few items, those that it touched, or all of the bike.

Lists written down by hand before the program was asked; common practice, no source.
"""

from datetime import timedelta

import pytest

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Finding
from pinchbolt.workshop.bikes.change_build import (
    AddRequest,
    ReplaceRequest,
    TakeOffRequest,
    add_part,
    replace,
    take_off,
)
from pinchbolt.workshop.leaving.sign_off import LookRequest, items_for, look_at_item, sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, give_back
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, start_work
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, DoneRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import part_on, read

pytestmark = pytest.mark.django_db

# What a rider's life hangs on, and what every job leaves behind.
ALWAYS = {
    "so-wheel-front",
    "so-wheel-rear",
    "so-bar",
    "so-stem",
    "so-brake-front",
    "so-brake-rear",
    "so-tyres",
    "so-tools-left",
    "so-ride",
    "so-things",
}


def agreed(there: Story, operation: str, finding: Finding | None = None) -> Story:
    """One line, agreed by the owner, on the stand."""
    of = finding.pk if finding is not None else None
    line = propose(ProposeRequest(there.job, operation, of), by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    return there


@kept
def puncture(template: str = "road-disc") -> Story:
    """A cut tyre behind, a tube agreed."""
    there = story.checked_in(template)
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    return agreed(there, "tyre-tube", tyre.findings.get())


def asked(there: Story) -> set[str]:
    """The items that the stay is asked."""
    return {item.id for item in sign_off_list(there.record, NOW).items}


def twice(there: Story) -> set[str]:
    """Those that two look at."""
    return {item.id for item in sign_off_list(there.record, NOW).items if item.needs_second}


def done(there: Story) -> None:
    """Every joint of the sheet to its value, by the second mechanic."""
    for joint in torque_sheet(there.record, TODAY):
        if joint.by_hand:
            by_hand = DoneByHandRequest(there.job, joint.joint)
            tighten_by_hand(by_hand, by=there.second, key=there.key(), now=NOW)
            continue
        assert joint.setting is not None
        at = joint.setting.set
        request = DoneRequest(there.job, joint.joint, int(joint.setting.tool), at, at)
        record_done(request, by=there.second, key=there.key(), now=NOW)


def test_a_puncture_gets_eleven_items_and_one_second_look() -> None:
    """The wheel that was out is looked at twice, everything else once; no crank, no spokes, no law of the road."""
    there = puncture()
    assert asked(there) == ALWAYS | {"so-room"}
    assert twice(there) == {"so-wheel-rear"}


def test_a_stay_without_work_gets_what_is_always_asked() -> None:
    """Looked at, nothing agreed: it was in the stand all the same."""
    there = story.checked_in("road-disc")
    assert asked(there) == ALWAYS and twice(there) == set()


def test_front_pads_ask_for_that_brake_and_its_second_look() -> None:
    """The brake behind is pulled once and not looked at again."""
    there = story.checked_in("road-disc")
    pads = part_on(there, "pads", "front")
    read(there, pads, "disc-pad-lining-resin", value=0.4)
    agreed(there, "pads-disc", pads.findings.get())
    assert asked(there) == ALWAYS | {"so-pads", "so-rotor", "so-ride-long"}
    assert twice(there) == {"so-wheel-front", "so-brake-front"}


def test_a_rear_tyre_on_a_hub_gear_asks_for_gear_and_chain_too() -> None:
    """Cable off, arm off, chain slack: each is put back by hand."""
    there = story.checked_in("city-hub-gear")
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    agreed(there, "tyre-hub-gear", tyre.findings.get())
    assert {"so-hub-gear", "so-chain", "so-room"} <= asked(there)
    assert not {"so-cranks", "so-pedals", "so-rim", "so-seat", "so-lights"} & asked(there)


@pytest.mark.parametrize(
    "operation", ["full-service", "safety-check", "first-check", "crash-look", "bike-pack"]
)
def test_work_on_the_whole_bike_gets_the_whole_list(operation: str) -> None:
    """Nothing is left out after a service, a crash or a journey in a case."""
    there = agreed(story.checked_in("road-disc"), operation)
    assert asked(there) == {item.id for item in items_for(there.record.bike)}
    assert {"so-bar", "so-brake-front", "so-wheel-rear"} <= twice(there)


def test_a_line_that_was_declined_touches_nothing() -> None:
    """The owner said no: the list is that of an untouched bike."""
    there = story.checked_in("road-disc")
    line = propose(ProposeRequest(there.job, "full-service"), by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: False}), by=there.first, key=there.key(), now=NOW)
    assert asked(there) == ALWAYS


def test_a_joint_that_is_done_with_a_value_proves_its_own_item() -> None:
    """The axle at 12 N·m needs no tick besides; another pair of eyes still looks, and not those of who did it."""
    there = puncture()
    before = {item.id: item.missing for item in sign_off_list(there.record, NOW).items}
    assert before["so-wheel-rear"].endswith("not checked yet.")
    done(there)
    (axle,) = [item for item in sign_off_list(there.record, NOW).items if item.id == "so-wheel-rear"]
    assert axle.by_value and axle.met_by
    assert axle.missing.endswith("no second look yet.")
    again = LookRequest(there.job, ("so-wheel-rear",), second=True)
    with pytest.raises(NotPossibleNow, match="somebody else must look"):
        look_at_item(again, by=there.second, key=there.key(), now=NOW)
    look_at_item(again, by=there.first, key=there.key(), now=NOW)
    (axle,) = [item for item in sign_off_list(there.record, NOW).items if item.id == "so-wheel-rear"]
    assert axle.missing == ""


def test_what_somebody_says_is_not_met_stands_over_a_value() -> None:
    """The torque was right and the wheel sits askew."""
    there = puncture()
    done(there)
    askew = LookRequest(there.job, ("so-wheel-rear",), met=False, words="askew")
    look_at_item(askew, by=there.first, key=there.key(), now=NOW)
    (axle,) = [item for item in sign_off_list(there.record, NOW).items if item.id == "so-wheel-rear"]
    assert "not right. askew" in axle.missing


def test_what_a_hand_changed_on_the_build_sheet_is_looked_at_without_a_line() -> None:
    """Cranks swapped on the stand while the tube was done, and no line for it: they can come off all the same."""
    there = puncture()
    assert "so-cranks" not in asked(there)
    crank = part_on(there, "crank")
    replace(ReplaceRequest(crank.pk), by=there.first, key=there.key(), now=NOW)
    assert {"so-cranks", "so-pedals"} <= asked(there)


def test_a_part_that_was_swapped_before_this_stay_is_no_work_of_it() -> None:
    """Told late: the owner had it done last month elsewhere."""
    there = puncture()
    crank = part_on(there, "crank")
    request = ReplaceRequest(crank.pk, day=TODAY - timedelta(days=30))
    before = asked(there)
    crank.fittings.update(start=TODAY - timedelta(days=400))
    replace(request, by=there.first, key=there.key(), now=NOW)
    assert asked(there) == before


def test_a_part_taken_off_or_added_by_hand_is_looked_at_and_one_that_was_there_all_along_is_not() -> None:
    """Guards off for good, bar ends written down that always were there: the one is work, the other a better record."""
    there = puncture("city-hub-gear")
    before = asked(there)
    guards = part_on(there, "mudguards")
    take_off(TakeOffRequest(guards.pk, "scrap"), by=there.first, key=there.key(), now=NOW)
    add_part(AddRequest(there.tag, "bar ends", was_there=True), by=there.first, key=there.key(), now=NOW)
    assert asked(there) - before <= {"so-mudguards", "so-room"} and asked(there) > before


def test_what_was_not_met_stays_asked_when_the_work_is_declined_after_all() -> None:
    """The owner changes his mind about the cranks; that they are loose is not forgotten with the line."""
    there = agreed(story.checked_in("road-disc"), "crank-replace")
    look = LookRequest(there.job, ("so-cranks",), met=False, words="left arm turns on the axle")
    look_at_item(look, by=there.first, key=there.key(), now=NOW)
    line = there.record.lines.get()
    answer(AnswerRequest(there.job, {line.pk: False}), by=there.first, key=there.key(), now=NOW)
    stops = sign_off_list(there.record, NOW).stops
    assert "so-cranks" in asked(there)
    assert any("left arm turns on the axle" in stop for stop in stops)


def bleed_behind() -> tuple[Story, int]:
    """A rear bleed agreed, and on the stand."""
    there = story.checked_in()
    asked_of = ProposeRequest(there.job, "bleed", place="rear")
    line = propose(asked_of, by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    return there, line


def dropped(there: Story, line: int, how: str) -> None:
    """The line is given up: given back as begun or untouched, or the owner changed their mind."""
    if how == "declined":
        answer(AnswerRequest(there.job, {line: False}), by=there.first, key=there.key(), now=NOW)
        return
    back = GiveBackRequest(there.job, line, "a thread is gone", untouched=how == "untouched")
    give_back(back, by=there.first, key=there.key(), now=NOW)


@pytest.mark.parametrize("how", ["begun", "declined"])
def test_work_that_was_begun_and_dropped_is_closed_before_the_bike_leaves(how: str) -> None:
    """Wheel out, bleed port open, then it is given up: its joints and looks stay asked, and the bike is not ready without them."""
    there, line = bleed_behind()
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    joints, items = {one.joint for one in torque_sheet(there.record, TODAY)}, asked(there)
    assert joints
    dropped(there, line, how)
    assert {one.joint for one in torque_sheet(there.record, TODAY)} == joints
    assert asked(there) == items
    stops = sign_off_list(there.record, NOW).stops
    assert any("torque not saved yet" in one for one in stops)
    assert not any("Agreed but not done" in one for one in stops)
    done(there)
    assert not any("torque not saved yet" in one for one in sign_off_list(there.record, NOW).stops)


def test_work_that_was_never_begun_asks_nothing_once_it_is_dropped() -> None:
    """A mechanic says so, or the work had not started: there is nothing to close."""
    there, line = bleed_behind()
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    dropped(there, line, "untouched")
    assert not torque_sheet(there.record, TODAY) and asked(there) == ALWAYS


@pytest.mark.parametrize("how", ["begun", "declined"])
def test_work_that_is_dropped_before_the_stand_asks_nothing(how: str) -> None:
    """No hand was on the bike."""
    there, line = bleed_behind()
    dropped(there, line, how)
    assert not torque_sheet(there.record, TODAY) and asked(there) == ALWAYS
