"""Figures that a formula divides by or multiplies a force with: none may be nought, and none below it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.reference import load
from tests.reference.test_bad_rows import faults

FIGURES = [
    ("joints", "property_class", "8.8", "proof"),
    ("joints", "thread", "M5x0.8", "d"),
    ("joints", "thread", "M5x0.8", "pitch"),
    ("joints", "thread", "M5x0.8", "stress_area"),
    ("templates", "template", "road-disc", "km_a_week"),
]


@pytest.mark.parametrize(("file", "table", "row", "field"), FIGURES)
@pytest.mark.parametrize("value", ["0", "-1"])
def test_a_figure_of_a_bolt_is_above_nought(
    shop: Callable[..., Path], file: str, table: str, row: str, field: str, value: str
) -> None:
    """A bolt without proof stress would stretch nothing and bear nothing: refused by its place, with what is allowed."""
    found = faults(shop(**{file: f'[[{table}]]\nid = "{row}"\n{field} = {value}\n'}))
    told = found[f"{file}.toml/{row}/{field}"]
    assert f'field "{field}" is {value}: above 0' in told


def test_work_that_takes_no_minutes_is_odd_and_possible(shop: Callable[..., Path]) -> None:
    """A block of nought minutes is read; one of fewer is not."""
    load(shop(operations='[[block]]\nid = "on-stand"\nminutes = 0\n'))
    found = faults(shop(operations='[[block]]\nid = "on-stand"\nminutes = -1\n'))
    assert 'field "minutes" is -1: 0 or more' in found["operations.toml/on-stand/minutes"]
