"""The worked example of the method page is run."""

import doctest
from pathlib import Path


def test_the_worked_example_of_the_page_comes_out():
    """What the page shows is what comes out."""
    page = Path(__file__).parents[3] / "docs" / "methods" / "rides.md"
    text = page.read_text(encoding="utf-8").replace("```", "")
    example = doctest.DocTestParser().get_doctest(text, {}, "rides.md", "rides.md", 0)
    assert len(example.examples) == 4
    assert doctest.DocTestRunner().run(example).failed == 0
