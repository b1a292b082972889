"""A bike that left as unsafe comes back as unsafe, until what made it so is put right."""

from dataclasses import replace

import pytest

from pinchbolt.errors import NotPossibleNow
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.shop_day import open_jobs
from pinchbolt.workshop.leaving.sign_off import SignOffRequest, sign_off, sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.note_finding import FindingRequest, findings_of, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests import story
from tests.story import NOW, Story


def came_back(there: Story) -> Story:
    """Handed over as unsafe, and checked in again."""
    leaving = HandOverRequest(there.job, as_unsafe=True, acknowledged=True)
    hand_over(leaving, by=there.first, key=there.key(), now=NOW)
    again = check_in(CheckInRequest(tag=there.tag), by=there.first, key=there.key(), now=NOW)
    return replace(there, job=again.job)


def cracked(there: Story) -> int:
    """A crack is seen; returns the finding."""
    asked = FindingRequest(there.job, "Crack in the steerer.", "unsafe to ride")
    return note_finding(asked, by=there.first, key=there.key(), now=NOW).id


def test_an_unsafe_finding_stands_at_the_next_stay_and_stops_the_sign_off(arrived: Story) -> None:
    """The shop day shows it at once; the walk-round is still what comes next; nothing is signed off over it."""
    finding = cracked(arrived)
    back = came_back(arrived)
    assert [seen.id for seen in findings_of(back.record)] == [finding]
    (here,) = open_jobs(NOW)
    assert (here.worst_verdict, here.next_step) == ("unsafe to ride", "walk-round")
    assert sign_off_list(back.record, NOW).stops[0].startswith("Unsafe to ride: bike: Crack in the steerer.")
    with pytest.raises(NotPossibleNow, match="Crack in the steerer"):
        story.signed_off(back)


def test_a_line_done_for_it_puts_it_right_for_good(arrived: Story) -> None:
    """Proposed, agreed and done at the second stay: signed off there, and gone at the third."""
    finding = cracked(arrived)
    back = came_back(arrived)
    line = propose(
        ProposeRequest(back.job, "headset-replace", finding), by=back.first, key=back.key(), now=NOW
    ).line
    ask_owner(PriceRequest(back.job), by=back.first, key=back.key(), now=NOW)
    answer(AnswerRequest(back.job, {line: True}), by=back.first, key=back.key(), now=NOW)
    story.signed_off(story.worked(back))
    hand_over(HandOverRequest(back.job, acknowledged=True), by=back.first, key=back.key(), now=NOW)
    third = check_in(CheckInRequest(tag=back.tag), by=back.first, key=back.key(), now=NOW)
    assert findings_of(replace(back, job=third.job).record) == ()


def test_a_newer_reading_answers_an_unsafe_one(arrived: Story) -> None:
    """A tyre that was cut at the last stay and is whole now: the newer reading counts."""
    tyre = next(
        fitting.part
        for fitting in arrived.record.bike.fittings.all()
        if fitting.part.kind == "tyre" and fitting.part.place == "rear"
    )
    cut = take_reading(
        ReadingRequest(arrived.job, tyre.pk, "tyre-cut", word="yes"),
        by=arrived.first,
        key=arrived.key(),
        now=NOW,
    )
    assert cut.finding.verdict == "unsafe to ride"
    back = came_back(arrived)
    assert [seen.id for seen in findings_of(back.record)] == [cut.finding.id]
    take_reading(
        ReadingRequest(back.job, tyre.pk, "tyre-cut", word="no"), by=back.first, key=back.key(), now=NOW
    )
    assert [seen.verdict for seen in findings_of(back.record)] == ["sound"]


def test_a_finding_of_another_bike_is_not_proposed_for(arrived: Story) -> None:
    """Lines answer findings of their own bike only."""
    finding = cracked(arrived)
    other = story.checked_in("child")
    with pytest.raises(NotPossibleNow, match="belongs to another bike"):
        propose(ProposeRequest(other.job, "bleed", finding), by=other.first, key=other.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="cannot be signed off"):
        sign_off(SignOffRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
