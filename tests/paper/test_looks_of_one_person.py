"""The handover sheet says when one person took both looks: a second look by the first pair of hands is told as what it is."""

import pytest

from pinchbolt.paper import render
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    look_at_item,
    sign_off,
    sign_off_list,
)
from tests import story
from tests.paper.reading import words
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def looked_alone(there: Story) -> int:
    """One mechanic alone: every item, and those that want it again after a break. Returns how many those are."""
    confirm_corner(ConfirmRequest(there.tag), by=there.first, key=there.key(), now=NOW)
    items = sign_off_list(there.record, NOW).items
    every, twice = tuple(one.id for one in items), tuple(one.id for one in items if one.needs_second)
    look_at_item(LookRequest(there.job, every), by=there.first, key=there.key(), now=NOW)
    again = LookRequest(there.job, twice, second=True, after_break=True)
    look_at_item(again, by=there.first, key=there.key(), now=NOW)
    return len(twice)


def after_work() -> Story:
    """A bike on which brake and stem were worked, all done by the same mechanic's list."""
    return story.worked(story.answered(story.priced(story.walked_round(story.checked_in()))))


def test_both_looks_of_one_person_are_told_as_such() -> None:
    """The owner reads that nobody else looked, and no name stands there as if it were another's."""
    there = after_work()
    alone = looked_alone(there)
    assert alone
    seen = sign_off_list(there.record, NOW)
    assert sum(one.alone for one in seen.items) == alone
    sign_off(SignOffRequest(there.job), by=there.first, key=there.key(), now=NOW)
    paper = words(render("handover", there.job, NOW))
    assert f"{alone} checked again by the same person after a break: nobody else looked at them" in paper
    assert "a second look at" not in paper


def test_a_look_of_somebody_else_has_their_name() -> None:
    """The usual case says nothing of breaks."""
    there = story.signed_off(after_work())
    assert not any(one.alone for one in sign_off_list(there.record, NOW).items)
    paper = words(render("handover", there.job, NOW))
    assert "a second look at" in paper and "by Tobias Quill" in paper and "after a break" not in paper
