"""Which rows of the workshop's own are less careful than the trade's, and so need a reason."""

from datetime import UTC, datetime

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Person
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.settings.change_rows import RowRequest, change_row, try_row
from pinchbolt.workshop.settings.row_fields import TABLES

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)


@pytest.mark.parametrize("bias", ["0.4", "-0.4"])
def test_a_gauge_that_reads_otherwise_than_the_trade_says_needs_a_reason(owner: Person, bias: str) -> None:
    """Either way: a bias upwards lets a worn chain pass, one downwards a loose bearing."""
    gauge = next(iter(tables().instruments.values())).id
    asked = RowRequest("instrument", gauge, {"bias": bias})
    assert try_row(asked).softer == ("reads too much by",)
    with pytest.raises(InputRefused, match="say why in a few words"):
        change_row(asked, by=owner.pk, key="bias-00001", now=NOW)


def test_what_a_joint_is_tried_again_after_is_in_months() -> None:
    """As it is counted on (the next look of a bike adds months)."""
    (recheck,) = (one for one in TABLES["joint"].fields if one.name == "recheck")
    assert recheck.words.endswith(", months")
