"""What the owner takes home: work done, what was declined, and nothing twice."""

from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, give_back
from tests import story
from tests.story import NOW


def test_what_was_declined_is_told_as_declined_and_what_was_agreed_is_not(db: None) -> None:
    """One line declined of several: it alone stands there."""
    told = story.priced(story.walked_round(story.checked_in()))
    lines = list(told.record.lines.order_by("pk"))
    assert len(lines) > 1
    one = lines[-1].operation
    told = story.answered(told, one)
    view = handover_sheet(told.record, NOW)
    assert [line.id for line in view.declined] == [line.pk for line in lines if line.operation == one]
    assert {line.id for line in view.declined}.isdisjoint(
        {line.pk for line in lines if line.operation != one}
    )


def test_what_was_agreed_and_given_back_is_told_as_not_done(db: None) -> None:
    """The part never came: the owner reads which line was not done, and no other."""
    told = story.answered(story.priced(story.walked_round(story.checked_in())))
    lines = list(told.record.lines.order_by("pk"))
    back = GiveBackRequest(told.job, lines[0].pk, "the part never came")
    assert handover_sheet(told.record, NOW).not_done == ()
    give_back(back, by=told.first, key=told.key(), now=NOW)
    view = handover_sheet(told.record, NOW)
    assert [line.id for line in view.not_done] == [lines[0].pk]
    assert view.declined == ()
