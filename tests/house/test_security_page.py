"""The page on security names every line of the standard that it is held against, and tests that are there."""

import re

from tests.house.source import ROOT

PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (\d+\.\d+\.\d+) \| (\S+) \| (.+) \|$", PAGE, re.MULTILINE)
# OWASP ASVS 5.0.0: 70 requirements of level 1 and 183 of level 2; chapters 10 and 17 hold 29 and 7 of them.
LINES = 70 + 183 - 29 - 7


def test_every_line_of_both_levels_stands_there_once() -> None:
    """None is left out, and each is met, not applicable or open."""
    numbers = [number for number, *_ in ROWS]
    assert len(numbers) == len(set(numbers)) == LINES
    assert {state for _, state, _ in ROWS} <= {"met", "n.a.", "open"}


def test_what_is_named_is_there() -> None:
    """A test that was renamed or removed proves nothing."""
    named = {path for *_, words in ROWS for path in re.findall(r"`((?:tests|docs|desk)/[^`]+)`", words)}
    assert [path for path in sorted(named) if not (ROOT / path).exists()] == []
    assert len(named) > 40
