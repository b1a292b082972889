"""What may come up with a job: a line that can't be used says why, and one that can says nothing."""

import pytest

from pinchbolt.workshop.came_up.came_up_page import came_up
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, finish_line
from tests import story
from tests.story import NOW, Story

PRICES = ("minutes", "work-price")


def why_not(there: Story, *names: str) -> tuple[str, ...]:
    """Why these lines of the page can't be used."""
    shown = {way.name: way.why_not for _, ways in came_up(there.record, NOW).groups for way in ways}
    return tuple(shown[name] for name in names)


def test_a_lines_minutes_and_price_are_set_until_the_owner_has_answered(arrived: Story) -> None:
    """No line yet: nothing to set. A line that waits for an answer: both can be. Answered: what was agreed stays."""
    none_waits = ("no line waits for an answer",) * 2
    assert why_not(arrived, *PRICES) == none_waits
    propose(ProposeRequest(arrived.job, "safety-check"), by=arrived.first, key=arrived.key(), now=NOW)
    assert why_not(arrived, *PRICES) == ("", "")
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    assert why_not(arrived, *PRICES) == ("", "")
    story.answered(arrived)
    assert why_not(arrived, *PRICES) == none_waits


def test_no_price_is_set_after_the_signature_and_the_page_names_the_signature(on_the_stand: Story) -> None:
    """Signed off, the job is opened again first; handed over, it is over: that is said, not that no line waits."""
    story.signed_off(on_the_stand)
    assert why_not(on_the_stand, *PRICES) == ("signed off: open the job again first",) * 2
    story.handed_over(on_the_stand)
    assert why_not(on_the_stand, *PRICES) == ("the job is over",) * 2


@pytest.mark.django_db
def test_a_job_with_work_done_is_handed_over_unfinished_and_not_called_off() -> None:
    """While nothing is done it can be called off; after the one line was done the page says how many and what to do."""
    there = story.on_a_stand()
    assert why_not(there, "call-off") == ("",)
    line = there.record.lines.get().pk
    finish_line(LineDoneRequest(there.job, line), by=there.first, key=there.key(), now=NOW)
    assert why_not(there, "call-off") == ("1 done: hand it over unfinished",)
