"""Operations of the workshop's own: what one needs before it goes on the menu."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.settings.change_rows import OwnOperationRequest, add_operation
from tests.story import NOW

pytestmark = pytest.mark.django_db

MINUTES, STEPS = "20 30 45", "measure the fork\nfit the lowrider"


@pytest.mark.parametrize(
    ("name", "minutes", "steps", "field", "said"),
    [
        ("", MINUTES, STEPS, "name", "Fill in the name."),
        ("   ", MINUTES, STEPS, "name", "Fill in the name."),
        ("fit a lowrider", "", STEPS, "minutes", "Fill in its minutes: low, usual, high."),
        ("fit a lowrider", MINUTES, " ", "steps", "Fill in one step at least."),
    ],
)
def test_an_operation_that_nobody_could_sell_is_not_on_the_menu(
    owner: Person, name: str, minutes: str, steps: str, field: str, said: str
) -> None:
    """It has a name for the bill, minutes for the price and a step for the stand; what lacks is asked for, and none is added."""
    before, events = set(tables().operations), Event.objects.count()
    asked = OwnOperationRequest(name, minutes, steps)
    with pytest.raises(InputRefused) as refused:
        add_operation(asked, by=owner.pk, key="operation-0001", now=NOW)
    assert refused.value.sentence == said and list(refused.value.errors) == [field]
    assert set(tables().operations) == before and Event.objects.count() == events


def test_an_operation_of_ones_own_is_on_the_menu_once(owner: Person) -> None:
    """By its name and its usual half hour; a second one of that name is refused."""
    asked = OwnOperationRequest("  fit a  lowrider ", MINUTES, STEPS)
    id = add_operation(asked, by=owner.pk, key="operation-0001", now=NOW)
    row = tables().operations[id]
    assert (row.name, row.minutes[1], len(row.steps)) == ("fit a lowrider", 30, 2)
    with pytest.raises(InputRefused, match="is on the menu already"):
        add_operation(asked, by=owner.pk, key="operation-0002", now=NOW)
