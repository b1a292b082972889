"""Outer widths of derailleur chains by speeds, from a public table, in mm: our row stands inside the printed range."""

import pytest

from tests.engines.fit.conftest import plain_tables

ROWS = {row["id"]: row for row in plain_tables()["interfaces"]["chain"]}
PRINTED = {
    "ch-678": (7.0, 7.8), "ch-9": (6.5, 6.7), "ch-10": (5.84, 6.1), "ch-11": (5.46, 5.74), "ch-12": (5.15, 5.25),
    "ch-13-it": (4.9, 4.9),
}  # fmt: skip


@pytest.mark.parametrize(("chain", "ends"), PRINTED.items())
def test_our_outer_width_stands_inside_the_printed_range(chain: str, ends: tuple[float, float]) -> None:
    """A rule on chain and drive compares these widths."""
    assert ends[0] <= ROWS[chain]["outer"] <= ends[1]


def test_more_speeds_never_have_a_wider_chain() -> None:
    """The table is in order."""
    widths = [ROWS[chain]["outer"] for chain in PRINTED]
    assert widths == sorted(widths, reverse=True)
