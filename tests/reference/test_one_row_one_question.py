"""A row that is answered with a figure asks one thing: else the figure says nothing of the other."""

import pytest

from pinchbolt.reference import Tables


def test_a_figure_answers_one_question(trade: Tables) -> None:
    """What is seen beside it has a row of its own, or is asked for in plain sight."""
    twice = [
        f"{row.id}: {row.quantity}"
        for row in trade.limits.values()
        if row.direction != "flag"
        and row.unit != "count"
        and (";" in row.quantity or " (or " in row.quantity)
    ]
    assert twice == []


@pytest.mark.parametrize(
    ("row", "asked"),
    [
        ("tyre-knob-height", "side knobs"),
        ("dropper-post", "sinks under the rider"),
        ("pedal-play", "axle bent"),
    ],
)
def test_what_the_figure_does_not_say_is_asked_beside_it(trade: Tables, row: str, asked: str) -> None:
    """In the care that stands above the reading, not in a fold; nothing that was asked is lost."""
    found = trade.limits[row]
    assert asked not in found.quantity and asked in found.care.lower() and "something else" in found.care


def test_the_lock_of_a_battery_is_asked_with_its_damage(trade: Tables) -> None:
    """A key that does not lock is no movement in mm."""
    assert "key does not lock" in trade.limits["battery-damage"].quantity
    assert "key" not in trade.limits["battery-rattle"].quantity
