"""JSON of a column comes back as it was written, each time a new one."""

import json

import pytest
from django.db import connection
from django.db.models import JSONField, Value
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.records.models import Event, Part
from pinchbolt.records.models.json_field import JsonField

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(JSON)
def test_what_is_written_is_read(value: object) -> None:
    """Against the framework's own column."""
    text = json.dumps(value)
    read = JsonField().from_db_value(text, Value(1), connection)
    assert read == JSONField().from_db_value(text, Value(1), connection) == value
    assert type(read) is type(value)


@pytest.mark.parametrize("text", ["", "nothing", "12 13", " {}", "{", '"a" b'])
def test_what_is_no_json_is_left_to_the_framework(text: str) -> None:
    """A column that somebody else wrote into is told as it stands, or read with its blanks."""
    expected = JSONField().from_db_value(text, Value(1), connection)
    assert JsonField().from_db_value(text, Value(1), connection) == expected


@pytest.mark.django_db
def test_an_empty_value_is_nobody_elses() -> None:
    """Two rows with nothing said do not share the nothing."""
    one, other = Part.objects.create(kind="saddle"), Part.objects.create(kind="saddle")
    first, second = Part.objects.filter(pk__in=(one.pk, other.pk)).order_by("pk")
    first.specification["width"] = 143
    first.limits.append("a")
    assert (second.specification, second.limits) == ({}, [])


def test_it_is_the_frameworks_column_in_the_records() -> None:
    """No step of the records knows of it."""
    name, path, _, named = Event._meta.get_field("said").deconstruct()
    assert (name, path) == ("said", "django.db.models.JSONField")
    assert named["default"] is dict
