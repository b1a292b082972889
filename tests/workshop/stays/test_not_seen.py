"""A look that was not possible is never counted as sound: it stops the sign-off until it is had, or goes to the owner as not seen."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Finding
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    SignOffView,
    look_at_item,
    sign_off,
    sign_off_list,
)
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.not_seen import (
    NOT_LOOKED,
    LeaveUnseenRequest,
    NotSeenRequest,
    NotSeenView,
    SeenAfterAllRequest,
    leave_unseen,
    not_seen_of,
    say_not_seen,
    see_after_all,
)
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.take_reading import ReadingRequest, ReadingTaken, take_reading
from pinchbolt.workshop.stays.walk_round import ReadingDue, walk_round
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story

CRACK = "frame-crack"


def due(there: Story, limit: str = CRACK) -> ReadingDue:
    """The place where a limit is read on this bike."""
    return next(
        one for place in walk_round(there.record, NOW) for one in place.readings if one.limit == limit
    )


def could_not(there: Story, limit: str = CRACK, **said: object) -> NotSeenView:
    """Somebody could not see it."""
    look = NotSeenRequest(there.job, due(there, limit).part, limit, **said)  # type: ignore[arg-type]
    return say_not_seen(look, by=there.first, key=there.key(), now=NOW)


def read(there: Story, word: str, limit: str = CRACK, corrects: int | None = None) -> ReadingTaken:
    """Somebody looked, and says yes or no."""
    asked = ReadingRequest(there.job, due(there, limit).part, limit, word=word, corrects=corrects)
    return take_reading(asked, by=there.first, key=there.key(), now=NOW)


def leaves(there: Story, *looks: int, words: str = "") -> tuple[NotSeenView, ...]:
    """The bike leaves without these looks."""
    asked = LeaveUnseenRequest(there.job, looks, words)
    return leave_unseen(asked, by=there.first, key=there.key(), now=NOW)


def listed(there: Story) -> SignOffView:
    """The safety list of the stay."""
    return sign_off_list(there.record, NOW)


@kept
def came_back(there: Story) -> Story:
    """The same bike is checked in again the next day."""
    again = CheckInRequest(tag=there.tag, owner_words="The noise is still there.")
    taken = check_in(again, by=there.first, key=there.key(), now=NOW + timedelta(days=1))
    return Story(taken.job, there.tag, there.first, there.second)


@kept
def ready(there: Story) -> Story:
    """All of the list met, but for what could not be seen."""
    return story.looked(there)


def test_it_is_no_reading_and_no_finding(arrived: Story) -> None:
    """Nothing says sound of the frame, nothing says unsafe; the walk-round shows the answer, the handover paper tells it."""
    seen = could_not(arrived, words="under a sleeve of tape")
    assert not Finding.objects.filter(job=arrived.job).exists()
    assert due(arrived).taken is None and due(arrived).not_seen == seen
    assert handover_sheet(arrived.record, NOW).not_seen == (seen,)
    assert "could not be seen (under a sleeve of tape)" in seen.sentence


def test_a_safety_look_stops_the_sign_off_until_it_is_had(on_the_stand: Story) -> None:
    """The stop names the part and what to do; a reading answers it."""
    ready(on_the_stand)
    assert listed(on_the_stand).stops == ()
    seen = could_not(on_the_stand)
    with pytest.raises(NotPossibleNow, match=r"could not be seen\. Look now and take the reading"):
        sign_off(SignOffRequest(on_the_stand.job), by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    assert [one for one in listed(on_the_stand).stops if seen.sentence in one]
    read(on_the_stand, "no")
    assert listed(on_the_stand).stops == () and listed(on_the_stand).not_seen == ()


def test_the_bike_may_leave_without_it_if_the_owner_is_told(on_the_stand: Story) -> None:
    """Why it leaves is needed once; it is read out at the handover, and stands on the paper and in the warnings."""
    ready(on_the_stand)
    seen = could_not(on_the_stand)
    with pytest.raises(InputRefused, match="why it leaves unseen is empty"):
        leaves(on_the_stand, seen.id)
    (left,) = leaves(on_the_stand, seen.id, words="taped, the owner keeps the tape")
    assert left.leaves and listed(on_the_stand).stops == ()
    assert listed(on_the_stand).left_unseen == (left.sentence,)
    sign_off(SignOffRequest(on_the_stand.job), by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    away = {"by": on_the_stand.first, "now": NOW + timedelta(hours=1)}
    with pytest.raises(InputRefused, match=r"Not seen at this visit: .*the owner keeps the tape"):
        hand_over(HandOverRequest(on_the_stand.job), key=on_the_stand.key(), **away)  # type: ignore[arg-type]
    gone = hand_over(
        HandOverRequest(on_the_stand.job, acknowledged=True),
        key=on_the_stand.key(),
        **away,  # type: ignore[arg-type]
    )
    assert any("Not seen at this visit" in words for words in gone.warnings)
    assert handover_sheet(on_the_stand.record, NOW).left_unseen == (left.sentence,)


def test_what_is_no_safety_row_is_told_and_stops_nothing(on_the_stand: Story) -> None:
    """A chain that nobody could gauge holds no bike back."""
    ready(on_the_stand)
    limit = next(
        one.limit
        for place in walk_round(on_the_stand.record, NOW)
        for one in place.readings
        if one.taken is None and one.limit not in (CRACK,) and not _is_safety(one.limit)
    )
    seen = could_not(on_the_stand, limit, why=NOT_LOOKED)
    assert listed(on_the_stand).stops == () and listed(on_the_stand).left_unseen == ()
    assert handover_sheet(on_the_stand.record, NOW).not_seen == (seen,)
    assert "was not looked at" in seen.sentence


def _is_safety(limit: str) -> bool:
    return story.tables().limits[limit].safety


def test_a_no_that_nobody_saw_is_put_right(arrived: Story) -> None:
    """The wrong tap "no" takes its finding with it; without naming it, what was read stands."""
    wrong = read(arrived, "no")
    with pytest.raises(NotPossibleNow, match="was read at this stay already"):
        could_not(arrived)
    could_not(arrived, corrects=wrong.reading)
    assert findings_of(arrived.record) == () and due(arrived).taken is None
    assert due(arrived).not_seen is not None
    with pytest.raises(InputRefused, match="corrected already"):
        could_not(arrived, corrects=wrong.reading)


def test_it_answers_no_unsafe_finding(arrived: Story) -> None:
    """A crack that was seen is not unseen by the next pair of eyes that could not find it."""
    read(arrived, "yes")
    with pytest.raises(NotPossibleNow):
        could_not(arrived)
    assert [one.verdict for one in findings_of(arrived.record)] == ["unsafe to ride"]


def test_an_unsafe_finding_of_an_earlier_stay_stands_over_a_look_that_could_not_be_had(
    on_the_stand: Story,
) -> None:
    """The next stay could not see the crack: the bike is no safer for it."""
    read(on_the_stand, "yes")
    ready(on_the_stand)
    hand_over(
        HandOverRequest(on_the_stand.job, acknowledged=True, as_unsafe=True),
        by=on_the_stand.first,
        key=on_the_stand.key(),
        now=NOW,
    )
    again = came_back(on_the_stand)
    could_not(again)
    assert any(one.verdict == "unsafe to ride" for one in findings_of(again.record))


def test_a_changed_mind_and_a_wrong_tap(arrived: Story) -> None:
    """Said again it is one answer; taken back it is silence; what was taken back can't be left without."""
    first = could_not(arrived)
    second = could_not(arrived, words="mud")
    assert [one.words for one in not_seen_of(arrived.record)] == ["mud"] and first.id != second.id
    back = SeenAfterAllRequest(arrived.job, second.id)
    assert see_after_all(back, by=arrived.first, key=arrived.key(), now=NOW) == ()
    with pytest.raises(NotFound, match="Reload the page"):
        leaves(arrived, second.id, words="mud")
    with pytest.raises(InputRefused, match="No look was marked"):
        leaves(arrived)
    with pytest.raises(InputRefused, match="could not see or not looked at"):
        could_not(arrived, why="dunno")


def test_why_it_was_not_seen_has_two_hundred_letters_at_most(arrived: Story) -> None:
    """One more is refused by a sentence with both figures, and nothing is written; 200 are kept whole."""
    with pytest.raises(InputRefused, match="Why it was not seen has 201 characters: 200 are allowed"):
        could_not(arrived, words="m" * 201)
    assert not_seen_of(arrived.record) == ()
    assert could_not(arrived, words="m" * 200).words == "m" * 200


def test_an_item_of_the_list_that_could_not_be_seen(on_the_stand: Story) -> None:
    """It is never met. What makes a bike unsafe stops it; anything else goes to the owner with the reason."""
    ready(on_the_stand)
    items = listed(on_the_stand).items
    unsafe = next(one for one in items if one.if_not == "unsafe to ride").id
    other = next(one for one in items if one.if_not != "unsafe to ride" and not one.needs_second).id
    look = {"by": on_the_stand.first, "now": NOW}
    with pytest.raises(InputRefused, match="Fill in why it could not be seen"):
        look_at_item(
            LookRequest(on_the_stand.job, (other,), unseen=True),
            key=on_the_stand.key(),
            **look,  # type: ignore[arg-type]
        )
    for item in (unsafe, other):
        look_at_item(
            LookRequest(on_the_stand.job, (item,), unseen=True, words="no light"),
            key=on_the_stand.key(),
            **look,  # type: ignore[arg-type]
        )
    seen = listed(on_the_stand)
    assert [one.id for one in seen.items if one.unseen] == sorted(
        (unsafe, other), key=[one.id for one in seen.items].index
    )
    assert not any(one.met_by for one in seen.items if one.unseen)
    assert len(seen.stops) == 1 and "could not be seen. no light" in seen.stops[0]
    assert len(seen.left_unseen) == 1
    story.looked(on_the_stand)
    assert listed(on_the_stand).stops == () and listed(on_the_stand).left_unseen == ()
