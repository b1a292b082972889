"""What is not possible in a state is refused with a plain sentence; an unsafe bike does not leave as ready."""

import pytest

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Person
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.shop_day import shop_day
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    look_at_item,
    sign_off,
    sign_off_list,
)
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import (
    AsideRequest,
    LineDoneRequest,
    StandRequest,
    finish_line,
    put_on_stand,
    set_aside,
    start_work,
)
from tests import story
from tests.story import NOW, Story


def test_work_starts_once_a_line_is_agreed_and_not_before(asked_for: Story) -> None:
    """Nothing agreed, nothing to start; what still waits for its answer holds nobody up."""
    start = StandRequest(asked_for.job, 1)
    with pytest.raises(NotPossibleNow, match="Nothing is agreed, so there is no work to start"):
        start_work(start, by=asked_for.first, key=asked_for.key(), now=NOW)
    one = asked_for.record.lines.order_by("pk")[0].pk
    answer(AnswerRequest(asked_for.job, {one: True}), by=asked_for.first, key=asked_for.key(), now=NOW)
    assert start_work(start, by=asked_for.first, key=asked_for.key(), now=NOW).started


def test_an_owner_is_not_asked_about_nothing(arrived: Story) -> None:
    """An estimate without a line does not go out."""
    with pytest.raises(NotPossibleNow, match="There is no line on the estimate"):
        ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)


def test_an_answer_before_the_question_is_refused(arrived: Story) -> None:
    """The estimate is given to the owner first."""
    asked = ProposeRequest(arrived.job, "bleed", place="front")
    line = propose(asked, by=arrived.first, key=arrived.key(), now=NOW).line
    with pytest.raises(NotPossibleNow, match='Tap "ask the owner" first'):
        answer(AnswerRequest(arrived.job, {line: True}), by=arrived.first, key=arrived.key(), now=NOW)


def test_declined_work_is_not_done(asked_for: Story) -> None:
    """A declined line can't be marked as done."""
    declined = asked_for.record.lines.first()
    assert declined is not None
    story.answered(asked_for, declined.operation)
    start_work(StandRequest(asked_for.job, 1), by=asked_for.first, key=asked_for.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match=f'The owner has not agreed to "{declined.words}"'):
        finish_line(
            LineDoneRequest(asked_for.job, declined.pk), by=asked_for.first, key=asked_for.key(), now=NOW
        )


def test_a_stand_holds_one_bike(arrived: Story) -> None:
    """The bike that is there is named; a stand that is not there is refused."""
    put_on_stand(StandRequest(arrived.job, 1), by=arrived.first, key=arrived.key(), now=NOW)
    other = story.checked_in("child")
    with pytest.raises(NotPossibleNow, match=f"{arrived.tag} is on stand 1"):
        put_on_stand(StandRequest(other.job, 1), by=other.first, key=other.key(), now=NOW)
    with pytest.raises(InputRefused, match="There is no stand 9: 1 to 3"):
        put_on_stand(StandRequest(other.job, 9), by=other.first, key=other.key(), now=NOW)


def test_a_bike_waits_for_its_part_with_its_state_written_down(on_the_stand: Story) -> None:
    """Its stand is free, and the shop day shows how it was left."""
    asked = AsideRequest(on_the_stand.job, "part", "cassette came short; screws in tray 4")
    assert set_aside(asked, by=on_the_stand.first, key=on_the_stand.key(), now=NOW).where is Where.PART
    day = shop_day(NOW)
    assert [job.waits_words for job in day.waiting_for_part] == ["cassette came short; screws in tray 4"]
    assert all(stand.job is None for stand in day.stands)


def test_a_bike_with_an_open_safety_item_does_not_leave_as_ready(on_the_stand: Story) -> None:
    """Neither sign-off nor handover: the open item is named and the rest counted."""
    with pytest.raises(NotPossibleNow, match=r"cannot leave as ready: .* not checked yet"):
        hand_over(
            HandOverRequest(on_the_stand.job, acknowledged=True),
            by=on_the_stand.first,
            key=on_the_stand.key(),
            now=NOW,
        )
    with pytest.raises(NotPossibleNow, match="cannot be signed off"):
        sign_off(SignOffRequest(on_the_stand.job), by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    assert job_state(on_the_stand.record).where is Where.STAND


def test_an_unsafe_finding_that_was_not_mended_stops_the_sign_off(on_the_stand: Story) -> None:
    """A crack seen after the list was met: the bike is not ready, and may only leave carried."""
    items = sign_off_list(on_the_stand.record, NOW).items
    look_at_item(
        LookRequest(on_the_stand.job, tuple(i.id for i in items)),
        by=on_the_stand.first,
        key=on_the_stand.key(),
        now=NOW,
    )
    twice = tuple(item.id for item in items if item.needs_second)
    look_at_item(
        LookRequest(on_the_stand.job, twice, second=True),
        by=on_the_stand.second,
        key=on_the_stand.key(),
        now=NOW,
    )
    note_finding(
        FindingRequest(on_the_stand.job, "Crack in the steerer.", "unsafe to ride"),
        by=on_the_stand.first,
        key=on_the_stand.key(),
        now=NOW,
    )
    with pytest.raises(NotPossibleNow, match=r"Unsafe to ride: .*Crack in the steerer"):
        sign_off(SignOffRequest(on_the_stand.job), by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    with pytest.raises(InputRefused, match="NOT SAFE TO RIDE"):
        hand_over(
            HandOverRequest(on_the_stand.job, as_unsafe=True),
            by=on_the_stand.first,
            key=on_the_stand.key(),
            now=NOW,
        )
    gone = hand_over(
        HandOverRequest(on_the_stand.job, as_unsafe=True, acknowledged=True),
        by=on_the_stand.first,
        key=on_the_stand.key(),
        now=NOW,
    )
    assert gone.warnings[0].startswith("NOT SAFE TO RIDE")
    assert any("Crack in the steerer" in warning for warning in gone.warnings)
    assert job_state(on_the_stand.record).left_unsafe


def test_the_second_look_is_another_pair_of_eyes(on_the_stand: Story) -> None:
    """The same person is refused, unless after a break, which is then written down."""
    item = next(
        item
        for item in sign_off_list(on_the_stand.record, NOW).items
        if item.needs_second and not item.by_value
    )
    with pytest.raises(NotPossibleNow, match="The first look comes before the second"):
        look_at_item(
            LookRequest(on_the_stand.job, (item.id,), second=True),
            by=on_the_stand.second,
            key=on_the_stand.key(),
            now=NOW,
        )
    look_at_item(
        LookRequest(on_the_stand.job, (item.id,)), by=on_the_stand.first, key=on_the_stand.key(), now=NOW
    )
    with pytest.raises(NotPossibleNow, match="somebody else must look"):
        look_at_item(
            LookRequest(on_the_stand.job, (item.id,), second=True),
            by=on_the_stand.first,
            key=on_the_stand.key(),
            now=NOW,
        )
    asked = LookRequest(on_the_stand.job, (item.id,), second=True, after_break=True)
    look_at_item(asked, by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    assert on_the_stand.record.list_checks.get(second=True).words.startswith("same person, after a break")


def test_a_declined_safety_line_is_acknowledged_before_the_bike_leaves(asked_for: Story) -> None:
    """The warning names the line; without the owner's acknowledgment the bike stays."""
    safety = next(
        line for line in asked_for.record.lines.all() if line.safety and line.verdict != "unsafe to ride"
    )
    there = story.signed_off(story.worked(story.answered(asked_for, safety.operation)))
    with pytest.raises(InputRefused, match="Declined by the owner"):
        hand_over(HandOverRequest(there.job), by=there.first, key=there.key(), now=NOW)
    gone = hand_over(HandOverRequest(there.job, acknowledged=True), by=there.first, key=there.key(), now=NOW)
    assert any(safety.words in warning for warning in gone.warnings)
    assert gone.call_back is not None and gone.call_back.day > NOW.date()


def test_the_counter_takes_bikes_in_and_no_readings(arrived: Story) -> None:
    """Readings and work are a mechanic's."""
    counter = Person.objects.make("juno", "Juno Marl", "counter", "bell over the door")
    with pytest.raises(
        NotAllowed, match=r"Juno Marl works at the counter\. Only a mechanic can save readings and work"
    ):
        note_finding(
            FindingRequest(arrived.job, "Bell is loose.", "next visit"),
            by=counter.pk,
            key=arrived.key(),
            now=NOW,
        )
