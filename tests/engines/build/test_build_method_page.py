"""The method page is true: its worked example runs, its grammar and its order of sources are the code's."""

import doctest
import re
from pathlib import Path

from pinchbolt.engines import build
from pinchbolt.engines.build import CONFIRMING, SOURCES
from pinchbolt.reference.rows import condition
from pinchbolt.workshop.bikes import build_sheet

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "build.md"
TEXT = PAGE.read_text(encoding="utf-8")


def test_the_worked_example_of_the_method_page_runs() -> None:
    """What a reader types gives what the page prints."""
    result = doctest.testfile(str(PAGE), module_relative=False)
    assert result.attempted >= 25
    assert result.failed == 0


def test_the_grammar_on_the_page_is_that_of_the_code() -> None:
    """Line by line as it stands above the reader of conditions."""
    (told,) = re.findall(r"```text\n(.*?)```", TEXT, re.DOTALL)
    written = [line.strip() for line in (condition.__doc__ or "").splitlines()]
    assert [line for line in told.splitlines() if line.strip() not in written] == []
    assert len(told.splitlines()) == 7


def test_how_a_fact_is_known_is_told_in_the_order_of_the_code() -> None:
    """All ways, the surest first; the first three confirm and weigh the same, the others each less."""
    section = TEXT.partition("## How a fact is known")[2].partition("## ")[0]
    told = re.findall(r"^\| ([a-z' ]+) \|", section, re.MULTILINE)
    assert tuple(told[1:]) == SOURCES
    assert set(told[1:4]) == CONFIRMING and "first three weigh the same" in section
    weights = [build_sheet._WEIGHT[source] for source in SOURCES]
    assert weights == sorted(weights) and weights[:3] == [0, 0, 0] and len(set(weights)) == 5


def test_every_function_that_the_page_names_is_at_the_engine_s_door() -> None:
    """A query that is renamed is renamed on the page."""
    section = TEXT.partition("## What follows")[2].partition("## ")[0]
    named = re.findall(r"`([a-z]+_[a-z_]+)`", section)
    assert len(named) >= 8
    assert [name for name in named if name not in (*build.__all__, "read_in", "rotor_front")] == []
