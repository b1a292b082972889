"""Calls within calls: room is taken once, not by each call of a loop that stands at an edge."""

import sys

import pytest

from pinchbolt.serving.room_for_calls import with_room

resource = pytest.importorskip("resource", reason="counts what the system was asked for")
_CALLS = 500


def _nothing() -> None:
    pass


def _most_asked_for(deep: int) -> int:
    """How often the system was asked for memory by a loop of calls, at the worst of so many depths."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(_CALLS):
        _nothing()
    here = resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before
    return max(here, _most_asked_for(deep - 1)) if deep else here


def test_no_loop_asks_for_memory_with_each_of_its_calls() -> None:
    """At two hundred depths, which is past several edges where there is no room; in room within room too."""
    for within in (lambda ask, deep: ask(deep), with_room(lambda ask, deep: ask(deep))):
        assert within(with_room(_most_asked_for), 200) < _CALLS / 10


def test_what_is_called_answers_and_raises_as_before() -> None:
    """By place and by name, and with its own refusal."""

    def add(one: int, *, other: int) -> int:
        """Add."""
        if other < 0:
            raise ValueError(other)
        return one + other

    roomy = with_room(add)
    assert (roomy(1, other=2), roomy.__name__, roomy.__doc__) == (3, "add", "Add.")
    with pytest.raises(ValueError, match="-1"):
        roomy(1, other=-1)


def test_the_bound_on_depth_stands() -> None:
    """What calls itself without end is still stopped by Python, within the room."""

    def again(deep: int) -> int:
        return again(deep + 1)

    with pytest.raises(RecursionError):
        with_room(again)(0)
    assert sys.getrecursionlimit() <= 1000
