"""A plan for a wheel as it is said at the bench."""

import pytest

from pinchbolt.workshop.questions.ask_wheel_plan import turn_words


@pytest.mark.parametrize(
    ("quarters", "turn"),
    [
        (1, "a quarter turn"),
        (2, "half a turn"),
        (3, "three quarters of a turn"),
        (4, "one turn"),
        (5, "5 quarters"),
    ],
)
def test_a_turn_of_a_nipple_is_said_as_a_mechanic_counts_it(quarters: int, turn: str) -> None:
    """Four quarters are a turn; past that they are counted. Which way comes first."""
    assert turn_words(quarters) == f"tighten {turn}"
    assert turn_words(-quarters) == f"loosen {turn}"
