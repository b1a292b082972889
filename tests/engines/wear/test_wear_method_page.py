"""The method page is true: its worked example runs, and its numbers are the code's."""

import doctest
from pathlib import Path

from pinchbolt.engines.wear import Stories, _filter, _forecast_chains, _judge, _steps, _verdict

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "wear.md"


def test_the_worked_example_of_the_method_page_runs():
    """What a reader types gives what the page prints."""
    result = doctest.testfile(str(PAGE), module_relative=False)
    assert result.attempted >= 12
    assert result.failed == 0


def test_the_numbers_on_the_method_page_are_those_of_the_code():
    """A figure changed in the code is changed on the page."""
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    told = {
        "19 nodes from -6 to 6 spreads": (_judge.NODES, _filter.Z_LOW, _filter.Z_HIGH) == (19, -6.0, 6.0),
        "for one part and for many": _forecast_chains.NODES == _judge.NODES,
        "(doubt 35 %)": _steps.UNKNOWN_SHARE == 0.35,
        "0.6 +- 0.6": Stories().other_wear == (0.60, 0.60),
        "0.45 +- 0.4": Stories().used_wear == (0.45, 0.40),
        "flat over -0.5 .. 2": (_filter.FLAT_LOW, _filter.FLAT_HIGH) == (-0.5, 2.0),
        "within 90 days": _judge.VISIT_DAYS == 90,
        "5 % (safety) or 20 %": (_verdict.SAFETY_CHANCE, _verdict.CALL_CHANCE) == (0.05, 0.20),
    }
    for words, true in told.items():
        assert words in page, words
        assert true, words
