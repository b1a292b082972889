"""Which open joints stand under which item of the sign-off list."""

import pytest

from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests.story import NOW
from tests.workshop.build_story import bike, describe, part_on

pytestmark = pytest.mark.django_db


def test_an_open_joint_stands_under_the_item_of_its_own_end() -> None:
    """Both wheels have a quick release; the one behind is open, and the front wheel's item does not say so."""
    there = bike("road-rim")
    for end in ("front", "rear"):
        describe(there, part_on(there, "wheel", end), axle_hold="quick-release")
    add_joint(AddJointRequest(there.job, "quick-release:rear"), by=there.first, key=there.key(), now=NOW)
    under = {item.id: item.open_joints for item in sign_off_list(there.record, NOW).items}
    assert under["so-wheel-rear"] == ("quick-release:rear",)
    assert under["so-wheel-front"] == ()
