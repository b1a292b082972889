"""A bike is told by the newest word: what was put right or taken off makes it unsafe no longer; the history keeps it."""

import pytest

from pinchbolt.workshop.leaving.bike_sheet import BikeView, bike_sheet
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.suggest import suggestions
from tests import story
from tests.story import NOW, Story
from tests.workshop.build_story import add, part_on, read, take_off

pytestmark = pytest.mark.django_db

UNSAFE = "unsafe to ride"


def mended(there: Story) -> BikeView:
    """What makes the bike unsafe is proposed, agreed, done and signed off, and the bike goes; returns its page."""
    story.priced(there)
    story.handed_over(story.signed_off(story.worked(story.answered(there))))
    return bike_sheet(there.tag, NOW)


def still_unsafe(seen: BikeView) -> list[str]:
    """Parts that the page calls unsafe by what was found last."""
    return [
        f"{part.kind} {part.place}".strip()
        for part in seen.parts
        if any(found.verdict == UNSAFE for found in part.last)
    ]


def test_a_job_whose_unsafe_line_was_done_is_not_told_as_unsafe() -> None:
    """The cut tyre was replaced and the bike signed off: neither page nor job says 'unsafe'; the history tells of the cut."""
    seen = mended(story.walked_round(story.checked_in()))
    assert still_unsafe(seen) == []
    (gone,) = seen.jobs
    assert gone.state.signed_off and gone.worst_verdict != UNSAFE
    assert [line for line in seen.history if line.words.endswith(f"Verdict: {UNSAFE}.")]


def test_a_lever_that_was_bled_is_unsafe_no_longer() -> None:
    """The brake stays, its line was done: the page shows what was done instead of the lever at the bar."""
    there = story.checked_in()
    brake = part_on(there, "brake", "front")
    read(there, brake, "lever-free-travel-disc", value=2.0)
    found = brake.findings.get()
    assert found.verdict == UNSAFE
    assert "bleed" in {one.operation for one in suggestions(there.record) if one.finding == found.pk}
    line = propose(
        ProposeRequest(there.job, "bleed", found.pk), by=there.first, key=there.key(), now=NOW
    ).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    story.handed_over(story.signed_off(story.worked(there)))
    assert still_unsafe(bike_sheet(there.tag, NOW)) == []


def test_a_part_that_was_taken_off_makes_no_bike_unsafe() -> None:
    """A cut tyre goes to scrap and another comes: no verdict of the old one stands, at the job or at the bike."""
    there = story.checked_in()
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    take_off(there, tyre, "scrap")
    new = add(there, "tyre", "rear")
    seen = bike_sheet(there.tag, NOW)
    assert still_unsafe(seen) == []
    assert [part.last for part in seen.parts if part.id == new.pk] == [()]
    assert seen.jobs[0].worst_verdict != UNSAFE
    assert [line for line in seen.history if UNSAFE in line.words]
