"""The example of docs/methods/markings.md, run as it stands."""

import doctest
from pathlib import Path

from pinchbolt.engines.markings import _weighing as weights

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "markings.md"


def test_the_worked_example_is_true():
    """What the page shows is what the engine answers."""
    found = doctest.testfile(str(PAGE), module_relative=False, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert found.attempted > 4 and found.failed == 0


def test_the_weights_on_the_page_are_those_of_the_code():
    """Each doubt's worth stands in the table, and so do the bounds of sure enough."""
    page = PAGE.read_text(encoding="utf-8")
    for worth in {*weights.WORTH.values(), weights.LOOSE}:
        assert f"| {worth:g} |" in page, worth
    assert f"{weights.SHARE:.0%}".replace("%", " %") in page
    assert f"{weights.MEAN:g} sure on the mean" in page
