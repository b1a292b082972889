"""docs/words.md and what the screens and sheets say agree: each word of its table is shown, and none of its doubles is."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from tests.house.source import ROOT, SRC, modules, nodes_of
from tests.house.test_style_of_words import sentences
from tests.house.test_words import told_by_page

ROW = re.compile(r"^\| ([^|]+?) \| ([^|]+?) \| ([^|]*?) \|$", re.MULTILINE)


@cache
def table() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each word for screens and sheets, and what is never said in its place."""
    page = (ROOT / "docs" / "words.md").read_text(encoding="utf-8")
    rows = ROW.findall(page.split("## On screens and sheets")[1].split("\n## ")[0])
    return tuple(
        (word, tuple(filter(None, never.split(", "))))
        for word, _, never in rows
        if word not in ("word", "---")
    )


@cache
def shown() -> tuple[tuple[str, str], ...]:
    """Every text that reaches a person by a page, a sheet or a sentence of a use case, with the file that says it."""
    found: list[tuple[str, str]] = []
    for path in sorted([*SRC.rglob("*.html"), *SRC.rglob("*.typ")]):
        text = path.read_text(encoding="utf-8")
        # What stands behind // is said to whoever reads the source.
        told = (
            [said for _, said in told_by_page(text)]
            if path.suffix == ".html"
            else [re.sub(r"//.*", "", text)]
        )
        found += [(path.name, said) for said in told]
    for room in ("bench", "paper", "workshop", "values", "engines"):
        for path, tree in modules(SRC / room):
            found += [(path.name, said) for _, said in sentences(tree)]
            found += [(path.name, said) for said in _names(tree)]
    return tuple(found)


def _names(tree: ast.Module) -> list[str]:
    """Short texts that a page shows as they are: verdicts, places, steps, labels."""
    told = {id(node.value) for node in nodes_of(tree, ast.Expr)}
    return [
        node.value
        for node in nodes_of(tree, ast.Constant)
        if isinstance(node.value, str)
        and id(node) not in told
        and node.value.count(" ") < 4
        and len(node.value) < 40
    ]


def is_said(word: str, text: str) -> bool:
    """Whether a text holds a word as it stands, large or small."""
    # Most texts hold it nowhere: that is seen sooner than searched for.
    return word.lower() in text.lower() and bool(
        re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text, re.IGNORECASE)
    )


def test_the_table_is_read() -> None:
    """So that the test cannot pass over an empty table."""
    assert len(table()) >= 35 and Path(ROOT / "docs" / "style-of-words.md").is_file()


@pytest.mark.parametrize("word", [word for word, _ in table()])
def test_each_word_is_shown(word: str) -> None:
    """A word that no screen, sheet or sentence says is no word of ours."""
    assert any(is_said(word, text) for _, text in shown()), word


@pytest.mark.parametrize(("word", "never"), table())
def test_no_double_is_shown(word: str, never: tuple[str, ...]) -> None:
    """One thing, one word."""
    said = [
        f"{where}: {text[:100]}: say {word}" for where, text in shown() for one in never if is_said(one, text)
    ]
    assert said == []
