"""A part is called by its kind in sentences, not by the name of its row."""

from dataclasses import replace

import pytest

from tests.engines.wear.cases import CHAIN


@pytest.mark.parametrize(
    ("part", "called"),
    [
        ("chain", "chain"),
        ("tyre, city and e-bike", "tyre"),
        ("jockey wheel, tension (lower)", "jockey wheel"),
        ("safety bolts (stem, bar, post, brakes, axles)", "safety bolts"),
    ],
)
def test_a_part_is_called_by_its_kind(part: str, called: str) -> None:
    """ "This tyre, city and e-bike" is nobody's word."""
    assert replace(CHAIN, part=part).called == called
