"""A tool is named in words of the trade: no id of a row reaches a person."""

import re

import pytest

from pinchbolt.values.tool_words import any_of, tool_words
from pinchbolt.workshop.common.trade_tables import tables


def heads() -> list[str]:
    """Every head, and every tool that holds the other side, of the joints' table."""
    rows = tables().joints.values()
    return sorted({code for row in rows for code in (*row.drive, *row.counter)})


@pytest.mark.parametrize("code", heads())
def test_every_head_of_the_table_has_words(code: str) -> None:
    """No code is left in them: small letters and figures joined by a dash."""
    said = tool_words(code)
    assert said and not re.search(r"\b[a-z]+-\d", said), said
    assert said != code or code.isalpha()


def test_sizes_of_one_kind_are_said_together() -> None:
    """Two keys are one choice of sizes, and each is said once."""
    assert any_of(["hex-4", "tx-25", "hex-5", "hex-4"]) == "4 or 5 mm hex key or T25 six-lobe key"
    assert any_of(["tx-25", "tx-30"]) == "T25 or T30 six-lobe key"
    assert any_of(["hand"]) == "by hand"
    assert any_of([]) == ""
