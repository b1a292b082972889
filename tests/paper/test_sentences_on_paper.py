"""Every sheet keeps the rules of docs/style-of-words.md: sentences of twenty words, chances in words, and easy to read."""

import tomllib
from pathlib import Path
from statistics import median

from pinchbolt.paper import SHEETS, bolt_round_sheet, render
from pinchbolt.workshop.common.trade_tables import tables
from tests.paper.reading import words
from tests.sentences import as_prose, grade, said_as_a_figure, said_twice, too_long, turned_round
from tests.story import NOW, Story

MOST_WORDS = 20
MEDIAN_GRADE, WORST_GRADE = 6.0, 9.0
OVER = tomllib.loads((Path(__file__).parents[1] / "sentences_over.toml").read_text(encoding="utf-8"))[
    "sheets"
]


def sheets(gone: Story, unsafe: Story) -> dict[str, list[str]]:
    """The words of each sheet of a bike that was handed over, and of one that left as unsafe."""
    found = {name: [words(render(name, gone.job, NOW))] for name in SHEETS}
    found["bolt round"] = [words(bolt_round_sheet(gone.tag, "whole", NOW))]
    return found | {
        f"unsafe, {name}": [words(render(name, unsafe.job, NOW))] for name in ("handover", "estimate")
    }


def test_sheets_keep_the_rules(gone: Story, left_unsafe: Story) -> None:
    """All rules over all sheets in one pressing. What is still too long is allowed by `sentences_over.toml`, and no more."""
    told, kinds = sheets(gone, left_unsafe), tuple(tables().kinds)
    over = {name: too_long(texts, MOST_WORDS) for name, texts in told.items()}
    longer = {name: found for name, found in over.items() if len(found) > OVER.get(name, 0)}
    assert longer == {}, "longer sentences than before"
    for rule in (said_as_a_figure, said_twice, lambda texts: turned_round(texts, kinds)):
        found = {name: rule(texts) for name, texts in told.items()}
        assert {name: said for name, said in found.items() if said} == {}
    grades = {name: grade(as_prose(texts)) for name, texts in told.items()}
    assert median(grades.values()) <= MEDIAN_GRADE
    assert {name: one for name, one in grades.items() if one > WORST_GRADE} == {}


def test_the_list_of_what_is_too_long_names_sheets_that_are_there() -> None:
    """A sheet that went takes its line along."""
    assert set(OVER) <= {*SHEETS, "bolt round", "unsafe, handover", "unsafe, estimate"}
