"""The method page is true: its worked example runs, and its numbers are the code's."""

import doctest
from pathlib import Path

from pinchbolt.engines.torque import _key_sizes, order, tool_checks
from pinchbolt.engines.torque import bolt_stress as bolt
from pinchbolt.engines.torque import safe_window as guard
from pinchbolt.engines.torque.window import (
    EITHER_SIDE_OF_A_TARGET,
    NEAR_UNDER_A_LONE_MARKING,
    ROOM_FOR_THE_TOOL,
)

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "torque.md"


def test_the_worked_example_of_the_method_page_runs() -> None:
    """What a reader types gives what the page prints."""
    result = doctest.testfile(str(PAGE), module_relative=False)
    assert result.attempted >= 8
    assert result.failed == 0


def test_the_numbers_on_the_method_page_are_those_of_the_code() -> None:
    """A rule changed in the code is changed on the page."""
    page = PAGE.read_text(encoding="utf-8")
    told = {
        "at least 15 % out": guard.DEVIATION_WHEN_UNTESTED == 0.15,
        "Under a fifth of its greatest value": guard.LOWEST_TESTED_SHARE == 0.2,
        "kept a tenth off either end": ROOM_FOR_THE_TOOL == 1.1,
        "between 85 % of it and itself": NEAR_UNDER_A_LONE_MARKING == 0.85,
        "taken 10 % either side": EITHER_SIDE_OF_A_TARGET == 0.1,
        "Past 75 % of proof": bolt.SHARE_FOR_REUSED_JOINTS == 0.75,
        "within 5 % of their aims": order.NEAR_THE_AIM == 0.05,
        "A key bears 0.7 of its proof torque": _key_sizes.SHARE_OF_KEY_PROOF == 0.7,
        "12 months, 5000 cycles": (tool_checks.RECALIBRATION_MONTHS, tool_checks.RECALIBRATION_CYCLES)
        == (12, 5000),
    }
    for words, true in told.items():
        assert words in page
        assert true, words
