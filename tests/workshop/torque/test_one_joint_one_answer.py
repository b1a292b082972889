"""One joint of one bike, asked through every door with the same tools, is set to the same value."""

from collections.abc import Iterator

import pytest

from pinchbolt.engines.build import clamped_by
from pinchbolt.errors import NoSafeAnswer, Unknown
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.joint_names import joint_id, joint_names
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions.ask_torque import JointRequest, joint_setting
from pinchbolt.workshop.torque.bolt_round import bolt_round
from pinchbolt.workshop.torque.choose_kit import ALL, KitRequest, joints_of_bikes
from pinchbolt.workshop.torque.joint_windows import joint_on
from pinchbolt.workshop.torque.torque_sheet import joint_view, sheet_of
from tests import story
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db


def facts_told(at: Story, name: str) -> Iterator[tuple[str, str]]:
    """What is known of the parts of a joint, as the question by itself takes it."""
    build = build_of(at.record.bike)
    joint = joint_on(build, name)
    assert joint is not None
    for part in (joint.part, *clamped_by(build, joint)):
        yield part.kind.id, ""
        for fact in part.kind.facts:
            row, value = tables().facts[fact], part.value(fact)
            if row.one_of and value is not None:
                yield f"{part.kind.id}.{fact}", word_of(value)


@pytest.mark.parametrize("template", ["hardtail", "tourer", "cargo-ebike"])
def test_sheet_round_question_and_kit_give_one_answer(template: str) -> None:
    """Every joint that a torque tool sets: on the sheet among all others, by itself, on the bolt round, asked without a bike."""
    at = story.on_a_stand(template)
    bike, build = job_by_id(at.job).bike, build_of(at.record.bike)
    names = joint_names(build)
    on_sheet = {one.joint: one for one in sheet_of(bike, names, {}, TODAY).joints}
    on_round = {one.joint.joint: one.joint for one in bolt_round(at.tag, "whole", NOW).joints}
    packed = joints_of_bikes([bike], KitRequest((at.tag,), choose=ALL, torque="every")).joints
    in_kit = {one.id.partition("/")[2]: one.window for one in packed}
    compared = 0
    for name in names:
        seen = on_sheet[name]
        alone = joint_view(name, bike, None, TODAY)
        assert (alone.setting is None) is (seen.setting is None), name
        if seen.setting is None or alone.setting is None or seen.window is None:
            continue
        assert (alone.setting.set, alone.setting.tool) == (seen.setting.set, seen.setting.tool), name
        if name in on_round and on_round[name].setting is not None:
            assert on_round[name].setting.set == seen.setting.set, name
        try:
            asked = joint_setting(JointRequest(joint_id(name), facts=dict(facts_told(at, name))), TODAY)
        except (NoSafeAnswer, Unknown) as refusal:
            pytest.fail(f"{name}: {refusal}")
        assert (asked.window.floor, asked.window.cap) == (seen.window.floor, seen.window.cap), name
        assert asked.setting.set == seen.setting.set, name
        assert in_kit[name] == (seen.window.floor, seen.window.cap), name
        compared += 1
    assert compared >= 12
