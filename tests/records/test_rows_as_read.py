"""A row that is read is laid down as it comes: the same row that the framework would make."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from django.apps import apps
from django.db import models
from django.db.models.fields.related_descriptors import ForeignKeyDeferredAttribute
from django.db.models.query_utils import DeferredAttribute
from django.db.models.signals import post_init, pre_init

from pinchbolt.records.models import Bike, Event, Part
from pinchbolt.records.models.row import RecordRow
from tests.story import checked_in


def _tables() -> Iterator[type[models.Model]]:
    yield from apps.get_app_config("records").get_models()


@pytest.mark.parametrize("table", _tables(), ids=lambda table: table.__name__)
def test_it_is_the_row_that_the_framework_makes(table: type[models.Model]) -> None:
    """Of every table, with a value of its own in each column, and with a column that was not asked for."""
    assert issubclass(table, RecordRow)
    names = [column.attname for column in table._meta.concrete_fields]
    for asked in (names, names[:-1]):
        values = [f"value of {name}" for name in asked]
        ours = table.from_db("default", asked, values)
        theirs = models.Model.from_db.__func__(table, "default", asked, values)  # type: ignore[attr-defined]
        assert type(ours) is type(theirs)
        assert not ours._state.fields_cache  # made as it is asked for
        mine, his = ({**one.__dict__, "_state": vars(one._state)} for one in (ours, theirs))
        assert mine == {**his, "_state": {"fields_cache": {}, **his["_state"]}}
        assert ours.get_deferred_fields() == theirs.get_deferred_fields()


@pytest.mark.parametrize("table", _tables(), ids=lambda table: table.__name__)
def test_no_column_does_anything_as_it_is_given_its_value(table: type[models.Model]) -> None:
    """What a column does as a value is given to it would be left out; and nobody listens to a row being made."""
    plain = {DeferredAttribute, ForeignKeyDeferredAttribute}
    for column in table._meta.concrete_fields:
        assert type(table.__dict__.get(column.attname, getattr(table, column.attname))) in plain, column
    assert not pre_init.has_listeners(table)
    assert not post_init.has_listeners(table)
    assert table.__init__ is models.Model.__init__


def test_what_is_beside_it_is_there_without_a_question(
    db: None, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    """With the rows beside it in one asking, and what was left out looked up when it is wanted."""
    story = checked_in()
    with django_assert_num_queries(1):  # type: ignore[operator]
        event = Event.objects.select_related("bike", "by", "job").filter(job=story.job)[0]
        assert event.bike == Bike(pk=event.bike_id)
        assert event.by.name
        assert event.job is not None
    with django_assert_num_queries(2):  # type: ignore[operator]
        part = Part.objects.only("kind")[0]
        assert part.words == ""
    assert not part._state.adding
    part.kind = "saddle"
    part.save()
    assert Part.objects.get(pk=part.pk).kind == "saddle"
    assert event.at < datetime(2100, 1, 1, tzinfo=UTC)
