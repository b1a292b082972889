"""Derailleur capacity as worked in public how-to texts: (big - small ring) + (big - small sprocket)."""

import pytest

from pinchbolt.engines.fit import FitWord, run_rule
from tests.engines.fit.conftest import plain_tables

TABLES = plain_tables()


@pytest.mark.parametrize(
    ("rings", "sprockets", "capacity"),
    [((44, 24), (34, 12), 42), ((53, 39), (23, 12), 25), ((50, 34), (25, 12), 29)],
)
def test_the_printed_capacity_is_just_enough(
    rings: tuple[int, int], sprockets: tuple[int, int], capacity: int
) -> None:
    """It fits with the printed figure and no longer without a word with one tooth less."""
    told = {
        "ring_big": rings[0],
        "ring_small": rings[1],
        "sprocket_big": sprockets[0],
        "sprocket_small": sprockets[1],
    }
    assert run_rule("capacity", {**told, "capacity": capacity}, TABLES).verdict is FitWord.FITS
    assert run_rule("capacity", {**told, "capacity": capacity - 1}, TABLES).verdict is FitWord.FITS_WITH
