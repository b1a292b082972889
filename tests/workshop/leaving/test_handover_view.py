"""What the owner takes home: work done, what was declined, and nothing twice."""

from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
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
