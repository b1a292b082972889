"""Rows of the tables as the settings show them: typed values, figures, and how many are the workshop's own."""

from decimal import Decimal
from enum import Enum
from pathlib import Path

import pytest

from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.acts.money_terms import LabourRequest, set_labour
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.settings.change_rows import RowRequest, change_row
from pinchbolt.workshop.settings.change_words import change_words
from pinchbolt.workshop.settings.row_fields import as_typed
from pinchbolt.workshop.settings.row_views import counts, row_seen, rows_found
from pinchbolt.workshop.settings.settings_lines import settings_lines
from tests.story import NOW, TODAY

pytestmark = pytest.mark.django_db


class Way(Enum):
    """Some word of a table."""

    UP = "up"


@pytest.mark.parametrize(
    ("value", "typed"),
    [
        (None, ""), (True, "yes"), (False, "no"), (Way.UP, "up"), (Decimal("12.50"), "12.50"), (0.75, "0.75"), (6.0, "6"),
        ((5, 10, 20), "5 10 20"), (["wipe it", "oil it"], "wipe it\noil it"), (3, "3"), ("a word", "a word"),
    ],
)  # fmt: skip
def test_a_value_stands_in_its_field_as_it_is_typed(value: object, typed: str) -> None:
    """Nothing is an empty field; whole lines stand under one another."""
    assert as_typed(value) == typed


def test_the_settings_count_the_rows_of_ones_own(owner: Person) -> None:
    """None, one, two."""

    def limits() -> str:
        return next(
            line.now for line in settings_lines(TODAY, 1, Path("nowhere")) if "trade tables" in line.now
        )

    assert limits() == "as the trade tables"
    rows = (("dish", "0.4", "1 is yours"), ("chain-elongation-11", "0.3", "2 are yours"))
    for number, (row, warn, said) in enumerate(rows):
        asked = RowRequest("limit", row, {"warn": warn})
        change_row(asked, by=owner.pk, key=f"row-{number:05d}", now=NOW)
        assert limits() == f"as the trade tables, {said}"
    assert counts()["limit"] == (len(tables().limits), 2)


def test_a_change_is_told_with_what_was_before(owner: Person) -> None:
    """A row by its name; the labour as money."""
    change_row(RowRequest("limit", "dish", {"warn": "0.4"}), by=owner.pk, key="row-00001", now=NOW)
    dish = row_seen("limit", "dish").name
    assert change_words(Event.objects.latest("pk")) == f"{dish}: warn 0.4 (was as the trade table)"
    set_labour(LabourRequest(Decimal("61"), TODAY), by=owner.pk, key="labour-00001", now=NOW)
    told = change_words(Event.objects.latest("pk"))
    assert told.startswith("labour an hour £61.00 (was £54.00)")


def test_what_is_not_offered_says_so_in_the_place_of_its_figures(owner: Person) -> None:
    """An operation with its minutes; struck off the menu it has none."""
    lines = {one.id: one.figures for one in rows_found("safety check", False, ("operation",))}
    assert "minutes" in lines["safety-check"]
    change_row(
        RowRequest("operation", "safety-check", {"offered": "no"}), by=owner.pk, key="row-00002", now=NOW
    )
    lines = {one.id: one.figures for one in rows_found("safety check", False, ("operation",))}
    assert lines["safety-check"] == "not offered"
