"""Work that was begun and then declined: what a hand was on may be open, unless the start itself was a wrong tap."""

import pytest

from pinchbolt.records.models import Event
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, give_back
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.standing import standing_of
from pinchbolt.workshop.stays.start_work import StandRequest, start_work
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def agreed(at: Story, *operations: str) -> list[int]:
    """Lines of the menu that the owner agreed to."""
    lines = [
        propose(ProposeRequest(at.job, operation), by=at.first, key=at.key(), now=NOW).line
        for operation in operations
    ]
    ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)
    says(at, dict.fromkeys(lines, True))
    return lines


def says(at: Story, said: dict[int, bool]) -> None:
    """The owner's answer."""
    answer(AnswerRequest(at.job, said), by=at.first, key=at.key(), now=NOW)


def starts(at: Story) -> None:
    """On the stand."""
    start_work(StandRequest(at.job, 1), by=at.first, key=at.key(), now=NOW)


def test_what_was_declined_after_the_start_may_be_open(arrived: Story) -> None:
    """Chain and cassette were agreed and begun; the cassette is declined: both may be open."""
    chain, cassette = agreed(arrived, "chain", "cassette")
    starts(arrived)
    assert standing_of(arrived.record).begun == frozenset()
    says(arrived, {cassette: False})
    stand = standing_of(arrived.record)
    assert (stand.begun, stand.may_be_open) == ({cassette}, {chain, cassette})


def test_what_was_declined_before_the_start_was_never_begun(arrived: Story) -> None:
    """No hand was on it."""
    chain, cassette = agreed(arrived, "chain", "cassette")
    says(arrived, {cassette: False})
    starts(arrived)
    stand = standing_of(arrived.record)
    assert (stand.begun, stand.may_be_open) == (frozenset(), {chain})


def test_a_start_that_was_a_wrong_tap_began_nothing(arrived: Story) -> None:
    """Taken back with one tap, then declined."""
    chain, cassette = agreed(arrived, "chain", "cassette")
    starts(arrived)
    started = Event.objects.get(job=arrived.job, kind="work started")
    undo_act(UndoRequest(arrived.job, started.pk), by=arrived.first, key=arrived.key(), now=NOW)
    says(arrived, {cassette: False})
    stand = standing_of(arrived.record)
    assert (stand.begun, stand.may_be_open) == (frozenset(), {chain})


@pytest.mark.parametrize(("untouched", "open_"), [(True, False), (False, True)])
def test_what_was_given_back_untouched_is_not_open(arrived: Story, untouched: bool, open_: bool) -> None:
    """Somebody says that nothing of it was begun, or does not."""
    chain, cassette = agreed(arrived, "chain", "cassette")
    starts(arrived)
    back = GiveBackRequest(arrived.job, cassette, "the part never came", untouched=untouched)
    give_back(back, by=arrived.first, key=arrived.key(), now=NOW)
    assert standing_of(arrived.record).may_be_open == ({chain, cassette} if open_ else {chain})
