"""Two bikes of one owner in the workshop at once: which limit holds for both, and a note on one of them for who goes on."""

from decimal import Decimal

import pytest

from pinchbolt.workshop.leaving.shop_day import job_view
from pinchbolt.workshop.stays.ask_together import usual_limit
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.hand_on import HandOnRequest, NoteReadRequest, hand_on, read_note
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.say_limit import LimitRequest, say_limit
from tests.story import NOW, Story, checked_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def one() -> Story:
    """A road bike with a chain on its list."""
    on = checked_in()
    propose(ProposeRequest(on.job, "chain"), by=on.first, key=on.key(), now=NOW)
    return on


@pytest.fixture
def other(one: Story) -> Story:
    """A gravel bike of the same owner with a look-over on its list."""
    made = check_in(
        CheckInRequest(owner_of=one.tag, template="gravel-1x"), by=one.first, key=one.key(), now=NOW
    )
    propose(ProposeRequest(made.job, "safety-check"), by=one.first, key=one.key(), now=NOW)
    return Story(made.job, made.tag, one.first, one.second, marks=100)


@pytest.mark.parametrize(
    ("limits", "safe"),
    [(("60", "80"), Decimal(60)), (("80", "60"), Decimal(60)), ((None, "80"), None), (("80", None), None)],
)
def test_the_limit_that_is_safe_for_both_is_the_lower_one_and_none_where_one_has_none(
    one: Story, other: Story, limits: tuple[str | None, str | None], safe: Decimal | None
) -> None:
    """A limit of the one never allows work on the other that its own word did not allow."""
    for on, limit in zip((one, other), limits, strict=True):
        asked = LimitRequest(on.job, None if limit is None else Decimal(limit))
        say_limit(asked, by=on.first, key=on.key(), now=NOW)
    assert usual_limit(one.record) == usual_limit(other.record) == safe


def test_a_note_stands_on_the_board_until_it_is_read_and_on_its_bike_alone(one: Story, other: Story) -> None:
    """From whom and what; the other bike of the same owner has none."""
    hand_on(
        HandOnRequest(one.job, one.second, "pads are on, wheel still out"),
        by=one.first,
        key=one.key(),
        now=NOW,
    )
    note = job_view(one.record, NOW).note
    assert note is not None and note.note == "pads are on, wheel still out"
    assert job_view(other.record, NOW).note is None
    read_note(NoteReadRequest(one.job), by=one.second, key=one.key(), now=NOW)
    assert job_view(one.record, NOW).note is None
