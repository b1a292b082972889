"""The worked examples of the method pages and of the public docstrings are run."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

from pinchbolt.engines import fit
from tests.engines.fit.conftest import plain_tables

PAGES = Path(__file__).parents[3] / "docs" / "methods"


@pytest.mark.parametrize("sheet", ["fit.md", "gearing.md", "tyres.md"])
def test_the_worked_example_of_the_page_comes_out(sheet: str) -> None:
    """What the page shows is what comes out."""
    text = (PAGES / sheet).read_text(encoding="utf-8").replace("```python\n", "\n").replace("```", "")
    example = doctest.DocTestParser().get_doctest(text, {"tables": plain_tables()}, sheet, sheet, 0)
    assert example.examples
    result = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE).run(example)
    assert result.failed == 0


@pytest.mark.parametrize("name", ["_rule", "_build", "_swap", "_check"])
def test_the_examples_of_the_docstrings_run(name: str) -> None:
    """The public functions, with the project's tables."""
    from decimal import Decimal

    shown = {public: getattr(fit, public) for public in fit.__all__}
    extra = {**shown, "tables": plain_tables(), "Decimal": Decimal}
    result = doctest.testmod(import_module(f"pinchbolt.engines.fit.{name}"), extraglobs=extra)
    assert result.attempted > 0
    assert result.failed == 0


def test_the_page_names_every_word_of_the_language() -> None:
    """A word that is not on the page is not a word yet."""
    from pinchbolt.engines.fit._fit_words import WORDS

    text = (PAGES / "fit.md").read_text(encoding="utf-8")
    assert [word for word in (*WORDS, "known", "listed") if word not in text] == []
