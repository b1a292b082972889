"""A bike is told by the newest word: what was put right makes it unsafe no longer; the history keeps it."""

import pytest

from pinchbolt.records.models import Reading
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.building import replace_part
from pinchbolt.workshop.leaving.bike_sheet import BikeView, bike_sheet
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests import story
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db

UNSAFE = "unsafe to ride"


def unsafe(seen: BikeView) -> list[str]:
    """Parts that the bike page calls unsafe."""
    return [
        f"{part.place} {part.kind}".strip()
        for part in seen.parts
        if any(found.verdict == UNSAFE for found in part.last)
    ]


def read(there: Story, kind: str, place: str, limit: str, **shown: object) -> Reading:
    """Read a part of the bike."""
    part = next(one for one in parts_on(there.record.bike) if (one.kind, one.place) == (kind, place))
    asked = ReadingRequest(there.job, part.pk, limit, **shown)  # type: ignore[arg-type]
    return Reading.objects.get(pk=take_reading(asked, by=there.first, key=there.key(), now=NOW).reading)


def bled(there: Story) -> None:
    """The line that puts the lever right is proposed, agreed and done, and the bike goes."""
    found = read(there, "brake", "front", "lever-free-travel-disc", value=2.0).finding
    assert found.verdict == UNSAFE and unsafe(bike_sheet(there.tag, NOW)) == ["front brake"]
    line = propose(
        ProposeRequest(there.job, "bleed", found.pk), by=there.first, key=there.key(), now=NOW
    ).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    story.handed_over(story.signed_off(story.worked(there)))


def test_a_brake_that_was_bled_is_unsafe_no_longer() -> None:
    """The part stays, its line was done: neither page nor job says unsafe, and the history tells of it."""
    there = story.checked_in()
    bled(there)
    seen = bike_sheet(there.tag, NOW)
    assert unsafe(seen) == []
    assert [job.worst_verdict == UNSAFE for job in seen.jobs] == [False]
    assert [line for line in seen.history if line.words.endswith(f"Verdict: {UNSAFE}.")]


def test_what_is_found_again_after_the_work_stands() -> None:
    """Bled, and at the bar again next time: the newest word is unsafe, and it counts."""
    there = story.checked_in()
    bled(there)
    again = story.checked_in()
    found = note_finding(
        FindingRequest(again.job, "Lever comes to the bar.", UNSAFE), by=again.first, key=again.key(), now=NOW
    )
    assert found.verdict == UNSAFE and bike_sheet(again.tag, NOW).jobs[0].worst_verdict == UNSAFE


def test_a_job_whose_cut_tyre_was_replaced_is_not_told_as_unsafe() -> None:
    """The whole way: cut tyre read, replaced, signed off, gone."""
    there = story.priced(story.walked_round(story.checked_in()))
    assert bike_sheet(there.tag, NOW).jobs[0].worst_verdict == UNSAFE
    story.handed_over(story.signed_off(story.worked(story.answered(there))))
    seen = bike_sheet(there.tag, NOW)
    assert unsafe(seen) == []
    assert seen.jobs[0].worst_verdict != UNSAFE


def test_what_was_declined_goes_on_being_unsafe() -> None:
    """The owner says no to the tyre: page and job say unsafe as before, however often work was done on other lines."""
    there = story.priced(story.walked_round(story.checked_in()))
    story.worked(story.answered(there, "tyre-tube"))
    seen = bike_sheet(there.tag, NOW)
    assert unsafe(seen) == ["rear tyre"]
    assert seen.jobs[0].worst_verdict == UNSAFE


def test_a_part_that_went_takes_its_verdict_along() -> None:
    """Replaced without a line: the new one carries no word of the old one, and the job tells of the bike as it is."""
    there = story.checked_in()
    found = read(there, "tyre", "rear", "tyre-cut", word="yes")
    replace_part(found.part, there.record.bike, TODAY)
    seen = bike_sheet(there.tag, NOW)
    assert unsafe(seen) == []
    assert seen.jobs[0].worst_verdict != UNSAFE


def test_each_thing_an_eye_found_on_a_part_stands_by_itself() -> None:
    """Two things seen on one part: the second does not push the first out."""
    there = story.checked_in()
    part = next(one for one in parts_on(there.record.bike) if one.kind == "frame")
    for words, verdict in (("Crack at the seat tube.", UNSAFE), ("Paint chipped.", "sound")):
        note_finding(
            FindingRequest(there.job, words, verdict, part.pk), by=there.first, key=there.key(), now=NOW
        )
    assert unsafe(bike_sheet(there.tag, NOW)) == ["frame"]
