"""The arm of a wrench and the reach of a crow-foot are measured once and hang with it; a certificate tells between its points."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Tool
from pinchbolt.workshop.tools.arms import ArmRequest, measure_arm
from pinchbolt.workshop.tools.check_tool import HungRequest, Point, ToolCheckRequest, check_tool, hang_tool
from pinchbolt.workshop.tools.tool_board import adapters, tool_board, torque_tools
from pinchbolt.workshop.torque.torque_sheet import joint_view
from tests.story import NOW, STEM, TODAY, Story

pytestmark = pytest.mark.django_db


def wrench() -> Tool:
    """A click wrench of 2 to 14 N·m on the board."""
    return Tool.objects.get(table_id="tq-2-14")


def test_the_newest_length_of_an_arm_counts(arrived: Story) -> None:
    """Measured again, it is another; the board and the engine have it."""
    for arm in (240.0, 235.0):
        found = measure_arm(ArmRequest(wrench().pk, arm), by=arrived.first, key=arrived.key(), now=NOW)
        assert found.arm_mm == arm and f"{arm:g} mm" in found.words
    assert next(one for one in torque_tools() if one.id == str(wrench().pk)).arm == 235.0
    assert next(one for one in tool_board(TODAY)[0] if one.id == wrench().pk).arm == 235.0


def test_a_reach_that_was_measured_later_reaches_the_sheet(arrived: Story) -> None:
    """A crow-foot that hung without one says nothing; then its length is known by what it takes hold of."""
    hang_tool(HungRequest("crowfoot-8"), by=arrived.first, key=arrived.key(), now=NOW)
    assert adapters() == {}
    foot = Tool.objects.get(table_id="crowfoot-8")
    found = measure_arm(ArmRequest(foot.pk, 25.0), by=arrived.first, key=arrived.key(), now=NOW)
    assert adapters() == {"crowfoot-8": 25.0} and "reaches 25 mm" in found.words
    board = {one.id: one for one in tool_board(TODAY)[0]}
    assert board[foot.pk].is_adapter and not board[wrench().pk].is_adapter


@pytest.mark.parametrize(
    ("table_id", "arm", "said"),
    [
        ("tq-2-14", 49.0, "50 to 1500 mm"),
        ("tq-2-14", 1501.0, "50 to 1500 mm"),
        ("crowfoot-8", 4.9, "5 to 150 mm"),
        ("crowfoot-8", 151.0, "5 to 150 mm"),
        ("hex-5", 80.0, "has no arm"),
    ],
)
def test_a_length_that_is_none_is_refused_and_changes_nothing(
    arrived: Story, table_id: str, arm: float, said: str
) -> None:
    """At hanging and at measuring alike."""
    tool = Tool.objects.filter(table_id=table_id).first() or Tool.objects.create(table_id=table_id, name="x")
    count = Tool.objects.count()
    with pytest.raises(InputRefused, match=said):
        measure_arm(ArmRequest(tool.pk, arm), by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(InputRefused, match=said):
        hang_tool(HungRequest(table_id, arm_mm=arm), by=arrived.first, key=arrived.key(), now=NOW)
    assert Tool.objects.count() == count and Tool.objects.get(pk=tool.pk).arm_mm is None


def test_the_sheet_says_what_a_certificate_lets_expect(arrived: Story) -> None:
    """At 2.8 and 8.4 N·m the wrench showed 3.7 % and 1.2 % too much: between them it is said, and nothing is narrowed."""
    bike = arrived.record.bike
    before = joint_view(STEM, bike, None, TODAY).setting
    points = (Point(2.8, 2.7), Point(8.4, 8.3), Point(14.0, 14.1))
    Tool.objects.exclude(pk=wrench().pk).update(in_use=False)
    check_tool(ToolCheckRequest(wrench().pk, points=points), by=arrived.first, key=arrived.key(), now=NOW)
    after = joint_view(STEM, bike, None, TODAY).setting
    assert before is not None and after is not None and "certificate" not in before.reasons[-1].words
    assert "By its certificate" in after.reasons[-1].words and "too much at" in after.reasons[-1].words
    expected = float(after.reasons[-1].words.split("expect about ")[1].split(" ")[0])
    assert after.set / 1.037 < expected < after.set / 1.012
