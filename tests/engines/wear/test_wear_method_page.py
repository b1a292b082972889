"""The method page is true: its worked example runs, and its numbers are the code's."""

import doctest
from pathlib import Path

from pinchbolt.engines.wear import _evidence, _filter, _judge, _many, _steps, _verdict

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
        "24 nodes over +-3.7 spreads": (_judge.NODES, _filter.HALF_WIDTH) == (24, 3.7),
        "12 in bulk": _many.BULK_NODES == 12,
        "(doubt 35 %)": _steps.UNKNOWN_SHARE == 0.35,
        "0.5 +- 0.45": _judge.UNSURE_WEAR == (0.5, 0.45),
        "0.4 +- 0.35": _judge.USED_WEAR == (0.4, 0.35),
        "flat over -0.5 .. 2": (_filter.FLAT_LOW, _filter.FLAT_HIGH) == (-0.5, 2.0),
        "within 90 days": _judge.VISIT_DAYS == 90,
        "5 % (safety) or 20 %": (_verdict.SAFETY_CHANCE, _verdict.CALL_CHANCE) == (0.05, 0.20),
        "sd 0.20, 0.25, 0.70": (_evidence.SHIFT_SD, _evidence.SPREAD_SD, _evidence.NOISE_SD)
        == (0.20, 0.25, 0.70),
    }
    for words, true in told.items():
        assert words in page, words
        assert true, words
