"""A stay that was called off holds no stand and no price any more, as one that was handed over."""

from datetime import date
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Person
from pinchbolt.workshop.acts.describe_shop import DaysRequest, set_days
from pinchbolt.workshop.came_up.call_off import AT_ONCE, CallOffRequest, call_off
from pinchbolt.workshop.common.trade_tables import read_tables_again
from pinchbolt.workshop.settings.change_rows import RowRequest
from pinchbolt.workshop.settings.row_effects import effects_of
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, put_on_stand
from tests import story
from tests.story import NOW, PASSPHRASE

pytestmark = pytest.mark.django_db


def test_a_stay_that_was_called_off_holds_no_stand_and_no_price(settings: object, tmp_path: Path) -> None:
    """While the bike is here its stand can't be taken away and its asked line is counted; afterwards neither."""
    settings.SHOP_TABLES = tmp_path / "tables"  # type: ignore[attr-defined]
    read_tables_again()
    told = story.checked_in()
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    propose(ProposeRequest(told.job, "safety-check"), by=told.first, key=told.key(), now=NOW)
    ask_owner(PriceRequest(told.job), by=told.first, key=told.key(), now=NOW)
    put_on_stand(StandRequest(told.job, 3), by=told.first, key=told.key(), now=NOW)
    dearer = RowRequest("operation", "safety-check", {"fixed_price": "99"})
    two = DaysRequest({"Mon": ("08:00", "12:00")}, 2)
    assert any(
        "1 line is asked at the old price" in one for one in effects_of(dearer, date(2026, 11, 25)).says
    )
    with pytest.raises(InputRefused, match=f"{told.tag} is on stand 3"):
        set_days(two, by=marnie.pk, key=told.key(), now=NOW)
    call_off(CallOffRequest(told.job, AT_ONCE), by=told.first, key=told.key(), now=NOW)
    assert not any("old price" in one for one in effects_of(dearer, date(2026, 11, 25)).says)
    set_days(two, by=marnie.pk, key=told.key(), now=NOW)
