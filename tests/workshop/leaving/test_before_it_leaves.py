"""What must be done before the bike leaves holds the bike, until it is done or the owner declines it by name."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.workshop.came_up.split_job import SplitRequest, split_job
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.sign_off import SignOffRequest, sign_off, sign_off_list, stops_going_home
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, give_back
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from tests import story
from tests.story import NOW, TODAY, Story

HELD = "Do it, or write down that the owner declines it."


def found(there: Story, verdict: str = "before it leaves") -> int:
    """Something is seen that may not leave as it is; returns the finding."""
    seen = FindingRequest(there.job, "Front rim worn below its line.", verdict)
    return note_finding(seen, by=there.first, key=there.key(), now=NOW).id


def line_for(there: Story, finding: int | None, operation: str = "rim-replace") -> int:
    """A line on the estimate, for the finding, which the owner is asked for."""
    asked = ProposeRequest(there.job, operation, finding)
    line = propose(asked, by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    return line


def says(there: Story, line: int, agreed: bool) -> None:
    """The owner's answer to one line."""
    answer(AnswerRequest(there.job, {line: agreed}), by=there.first, key=there.key(), now=NOW)


def held(there: Story) -> list[str]:
    """The stops that name what must be done before the bike leaves."""
    return [stop for stop in sign_off_list(there.record, NOW).stops if HELD in stop]


def test_a_bike_with_something_to_do_before_it_leaves_is_not_signed_off(arrived: Story) -> None:
    """All of the list is checked: the finding alone holds the bike, and the refusal says what to do."""
    found(arrived)
    story.looked(arrived)
    assert held(arrived) == [f"bike: to be done before it leaves. {HELD}"]
    with pytest.raises(NotPossibleNow, match="to be done before it leaves"):
        sign_off(SignOffRequest(arrived.job), by=arrived.second, key=arrived.key(), now=NOW)


def test_a_line_without_an_answer_holds_it_still(arrived: Story) -> None:
    """Put on the estimate is neither done nor declined."""
    line_for(arrived, found(arrived), "headset-replace")
    assert len(held(arrived)) == 1


def test_what_may_wait_holds_nothing(arrived: Story) -> None:
    """Only the fourth verdict says so."""
    found(arrived, "next visit")
    assert held(arrived) == []


def test_declined_by_the_owner_it_leaves_and_is_read_out(arrived: Story) -> None:
    """The owner may have the bike back as it is; the handover names what was declined until it is acknowledged."""
    says(arrived, line_for(arrived, found(arrived), "headset-replace"), agreed=False)
    assert held(arrived) == []
    story.signed_off(arrived)
    with pytest.raises(InputRefused, match=r"Declined by the owner: .*Front rim worn below its line"):
        hand_over(HandOverRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    left = hand_over(
        HandOverRequest(arrived.job, acknowledged=True), by=arrived.first, key=arrived.key(), now=NOW
    )
    assert any("Front rim worn" in words for words in left.warnings)


def test_an_agreed_line_is_named_once_and_done_it_lets_the_bike_go(arrived: Story) -> None:
    """While it is to do its own stop stands; done, none does."""
    line = line_for(arrived, found(arrived), "headset-replace")
    says(arrived, line, agreed=True)
    words = arrived.record.lines.get(pk=line).words
    stops = sign_off_list(arrived.record, NOW).stops
    assert [stop for stop in stops if "not done" in stop] == [f"Agreed but not done: {words}."]
    assert held(arrived) == []
    story.signed_off(story.worked(arrived))


def test_what_could_not_be_done_is_no_decline(arrived: Story) -> None:
    """The part never came: the owner has said yes, not no, so the bike is held until they are asked."""
    line = line_for(arrived, found(arrived), "headset-replace")
    says(arrived, line, agreed=True)
    back = GiveBackRequest(arrived.job, line, "the headset never came", untouched=True)
    give_back(back, by=arrived.first, key=arrived.key(), now=NOW)
    assert len(held(arrived)) == 1
    says(arrived, line, agreed=False)
    assert held(arrived) == []


def test_what_was_put_off_with_the_owner_leaves_and_is_read_out(arrived: Story) -> None:
    """Another day was agreed: the yes stays for that day, and the handover says that it is not done."""
    line = line_for(arrived, found(arrived), "headset-replace")
    other = line_for(arrived, None, "safety-check")
    says(arrived, line, agreed=True)
    says(arrived, other, agreed=True)
    later = SplitRequest(arrived.job, (line,), TODAY + timedelta(days=10), untouched=True)
    split_job(later, by=arrived.first, key=arrived.key(), now=NOW)
    seen = sign_off_list(arrived.record, NOW)
    assert held(arrived) == []
    assert any("Front rim worn" in words and "another day" in words for words in seen.declined_safety)


def test_a_bike_with_something_to_do_before_it_leaves_is_not_ridden_home_meanwhile(arrived: Story) -> None:
    """Agreed and waiting for its part, it is still not done: the rider would be on it."""
    says(arrived, line_for(arrived, found(arrived), "headset-replace"), agreed=True)
    assert "bike: to be done before it leaves." in stops_going_home(arrived.record, NOW)
