"""Every reading that any bike's walk-round asks for can be taken with what the screen offers for it."""

import pytest
from django.http import QueryDict
from django.utils import timezone

from pinchbolt.bench.walk_round.rows import row_id
from pinchbolt.bench.walk_round.walk_round_form import ReadingForm
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.take_reading import take_reading
from pinchbolt.workshop.stays.walk_round import ReadingDue, walk_round
from tests import story
from tests.bench.job_screens.conftest import key

pytestmark = pytest.mark.django_db


def filled(due: ReadingDue, **said: str) -> ReadingForm:
    """The form of a reading as the tablet sends it."""
    sent = QueryDict(mutable=True)
    sent.update({"key": key(), **{f"{row_id(due)}-{name}": value for name, value in said.items()}})
    return ReadingForm(sent, prefix=row_id(due))


def offered(due: ReadingDue) -> list[dict[str, str]]:
    """Each button of a reading, or, where a figure is typed, a new part's figure and its limit."""
    if due.choices:
        return [{"choice": str(number)} for number in range(len(due.choices))]
    figures = [figure for figure in (due.new, due.at_limit) if figure is not None]
    return [{"value": f"{figure:g}"} for figure in figures or [sum(due.usual) / 2]]


def test_every_button_and_figure_of_every_bike_is_taken() -> None:
    """A row that the screen offers and the use case refuses would be a reading that nobody can take."""
    now, asked = timezone.now(), set()
    for template in tables().templates:
        on = story.checked_in(template)
        for due in (due for place in walk_round(on.record, now) for due in place.readings):
            if due.limit in asked:
                continue
            asked.add(due.limit)
            for said in offered(due):
                form = filled(due, **said)
                with form.refusable():
                    take_reading(form.asked(on.job, due), by=on.first, key=on.key(), now=now)
                assert form.refusal is None, (due.limit, said, form.refusal and form.refusal.sentence)
    assert len(asked) > 60
