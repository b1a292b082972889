"""One name, one value: what a JSON text says twice is refused, never halved."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.values import RepeatedKey, read_json

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


@given(PLAIN)
def test_what_stands_once_is_read_as_ever(told: object) -> None:
    """As the reader of the standard library does it."""
    assert read_json(json.dumps(told)) == told


@pytest.mark.parametrize(
    "text", ['{"stem": 5, "stem": 6}', '{"stem": 6, "stem": 5}', '{"a": [{"stem": 5, "bar": 1, "stem": 6}]}']
)
def test_a_name_that_stands_twice_is_refused_with_both_values(text: str) -> None:
    """The order does not matter, nor how deep it stands."""
    with pytest.raises(RepeatedKey, match='"stem" stands more than once') as refused:
        read_json(text)
    assert refused.value.key == "stem"
    assert "5" in refused.value.sentence and "6" in refused.value.sentence


def test_the_second_of_two_names_is_told_where_only_it_stands_twice() -> None:
    """Not the first name of the object."""
    with pytest.raises(RepeatedKey) as refused:
        read_json('{"bar": 4, "stem": 5, "post": 7, "stem": 6, "clamp": 1}')
    assert refused.value.key == "stem"
