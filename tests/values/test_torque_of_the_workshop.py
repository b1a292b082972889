"""The twelve bikes of the invented workshop: joints, settings and heads on the sheet are those that a mechanic wrote down before."""

from typing import Any

import pytest

from pinchbolt.records.models import Bike
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.joint_names import joint_names
from pinchbolt.workshop.demo import load
from pinchbolt.workshop.demo.scenario import scenario
from pinchbolt.workshop.torque.torque_sheet import sheet_of
from tests.story import TODAY, open_shop
from tests.values.test_bikes_by_hand import written as joints_written
from tests.values.torque_of_bikes import BY_HAND, MAKER, NO_TOOL, written

pytestmark = pytest.mark.django_db
TWELVE: dict[str, dict[str, Any]] = {bike["tag"]: bike for bike in BY_HAND["bike"]}


def on_sheet(tag: str) -> Bike:
    """The bike as the invented workshop has it at the start of its year; every torque tool here is in date."""
    open_shop()
    told = scenario(TODAY)
    row = next(one for one in told.raw["bike"] if one["tag"] == tag)
    load._the_bike(row, told)
    return Bike.objects.get(tag=tag)


@pytest.mark.parametrize("tag", TWELVE)
def test_the_joints_are_those_of_the_hand(tag: str) -> None:
    """None that is not there, none left out."""
    bike, told = on_sheet(tag), TWELVE[tag]
    hand = (joints_written(told["of"], "bolts") | set(told.get("also", ()))) - set(told.get("no", ()))
    assert set(joint_names(build_of(bike))) == hand, told["why"]


@pytest.mark.parametrize("tag", TWELVE)
def test_settings_and_heads_are_those_of_the_hand(tag: str) -> None:
    """Window, setting and usual head of every joint of the sheet."""
    bike, told = on_sheet(tag), TWELVE[tag]
    # As a page asks: what the records say is looked up once, not again for each joint.
    with one_look():
        seen = sheet_of(bike, joint_names(build_of(bike)), {}, TODAY).joints
    wrong = {}
    for one in seen:
        hand = written(one.joint, told["as"])
        if one.by_hand:
            good = hand.set == NO_TOOL and one.setting is None
        elif one.window is None:
            good = hand.set == MAKER and "Look up this frame or shock" in one.refused
        else:
            good = one.setting is not None and hand.agrees(one.window.floor, one.window.cap, one.setting.set)
        if not good or one.drive[0] != hand.head:
            span = (one.window.floor, one.window.cap) if one.window else one.refused
            wrong[one.joint] = (span, one.setting.set if one.setting else None, one.drive[0], hand)
    assert wrong == {}, told["why"]
