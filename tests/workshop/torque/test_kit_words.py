"""How many tools a set has, as every page and sheet says it."""

import pytest

from pinchbolt.workshop.torque.choose_kit import tools_counted


@pytest.mark.parametrize(
    ("count", "words"), [(1, "1 tool"), (2, "2 tools"), (0, "0 tools"), (11, "11 tools")]
)
def test_one_tool_is_one_tool(count: int, words: str) -> None:
    """One alone has no s."""
    assert tools_counted(count) == words
