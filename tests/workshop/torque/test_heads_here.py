"""A head that nothing on the board turns is said before the joint is opened; so is a bit that the torque tool lacks."""

import pytest

from pinchbolt.records.models import Tool
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, JointView, add_joint, torque_sheet
from tests import story
from tests.story import NOW, STEM, TODAY, Story

pytestmark = pytest.mark.django_db
AXLE, PEDAL = "quick-release:rear", "pedal"


@pytest.fixture
def touring() -> Story:
    """A touring bike on a stand with stem, axle and pedals on its sheet; nothing but torque tools hangs on the board."""
    there = story.on_a_stand("tourer")
    here = {one.joint for one in torque_sheet(job_by_id(there.job), TODAY)}
    for joint in {STEM, AXLE, PEDAL} - here:
        add_joint(AddJointRequest(there.job, joint), by=there.first, key=there.key(), now=NOW)
    return there


def hung(*rows: str) -> None:
    """These tools of the table hang here."""
    for row in rows:
        Tool.objects.create(table_id=row, name=row)


def said(at: Story, joint: str) -> str:
    """What the sheet warns of at a joint."""
    seen: JointView = next(one for one in torque_sheet(job_by_id(at.job), TODAY) if one.joint == joint)
    return " ".join(seen.warnings)


def test_a_board_without_keys_says_nothing_of_them(touring: Story) -> None:
    """Who hangs torque tools alone has the keys in a drawer: a warning at every joint would teach to read none."""
    assert "hangs here" not in said(touring, STEM) + said(touring, PEDAL)


def test_a_head_that_nothing_here_turns_is_said(touring: Story) -> None:
    """A stem's usual heads are hex-4, hex-5 and T25; with the pedal spanner alone nobody opens it."""
    hung("pedal-spanner")
    assert "Nothing that hangs here turns hex-4 or tx-25 or hex-5" in said(touring, STEM)
    assert "hangs here" not in said(touring, PEDAL)
    # A lever needs no key.
    assert "hangs here" not in said(touring, AXLE)


def test_one_of_the_usual_heads_is_enough_until_the_head_is_read(touring: Story) -> None:
    """Nobody knows which it is: with a hex-5 it may be turned. A tool that is put away turns nothing."""
    hung("pedal-spanner", "hex-5")
    assert "hangs here" not in said(touring, STEM)
    Tool.objects.filter(table_id="hex-5").update(in_use=False)
    assert "Nothing that hangs here turns" in said(touring, STEM)


def test_a_torque_tool_without_the_bit_is_said(touring: Story) -> None:
    """Keys turn the stem; of the bits only sockets hang here, and a click wrench takes no key."""
    hung("hex-4", "sockets")
    assert "No bit that hangs here turns hex-4 or tx-25 or hex-5" in said(touring, STEM)
    hung("bits-quarter")
    assert "hangs here" not in said(touring, STEM)
