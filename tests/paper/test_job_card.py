"""The job card with its torque sheet."""

from pinchbolt.paper import render
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests import story
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story


def test_every_joint_has_its_window_setting_done_value_and_who(worked: Story) -> None:
    """The sheet's own figures, from the use case."""
    paper = words(render("job-card", worked.job, NOW))
    joints = torque_sheet(worked.record, TODAY)
    assert len(joints) >= 2
    for joint in joints:
        assert joint.name in paper
        if joint.setting is None or joint.done is None or joint.done.done is None:
            continue
        assert f"set {joint.setting.lowest:g} to {joint.setting.highest:g}" in paper
        assert f"{joint.done.done:g} {joint.done.by}" in paper


def test_the_carbon_bar_under_a_stem_marked_six_is_set_for_five_at_most(worked: Story) -> None:
    """Both markings are printed, and the lower one is the cap."""
    paper = words(render("job-card", worked.job, NOW))
    assert "stem marked 6 N·m max" in paper and "handlebar marked 5 N·m max" in paper
    joint = next(one for one in torque_sheet(worked.record, TODAY) if one.joint == story.STEM)
    assert joint.window is not None and (joint.window.floor, joint.window.cap) == (4.0, 5.0)
    assert "range 4 to 5" in paper and "(can throw the rider)" in paper


def test_steps_tools_and_parts_of_the_agreed_work_are_there(worked: Story) -> None:
    """And nothing of what was declined."""
    card, paper = job_card(worked.record), words(render("job-card", worked.job, NOW))
    assert card.lines and "new disc pads" not in paper
    for line in card.lines:
        assert all(" ".join(step.split()) in paper for step in line.steps)
    assert all(tool in paper for tool in card.tools)
    assert all(f"{part.count} × {part.name}" in paper for part in card.parts)
