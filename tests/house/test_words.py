"""Words on screens, sheets, command line and JSON are those of the trade; the labels of shop software stay away."""

import ast
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.house.source import ROOT, SRC, modules, nodes_of, place

# One meaning each: a work order is a job card here, a customer or client an owner, a ticket a tag or a job, and so on.
BANNED = re.compile(
    r"\b(?:work[ -]?orders?|tickets?|customers?|clients?|dashboards?|inventory|inventories|appointments?|SKUs?|CRM|POS)\b",
    re.IGNORECASE,
)
SPOKEN = ("bench", "paper", "cli", "api", "workshop", "drawing")


class _Told(HTMLParser):
    """Collects what a person sees or hears of a page: text, and the attributes that are read out."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[tuple[int, str]] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what assistive technology reads, and step over styles and scripts."""
        self.hidden += tag in ("script", "style")
        for name, value in attrs:
            if name in ("alt", "title", "placeholder", "value", "aria-label", "label") and value:
                self.told.append((self.getpos()[0], value))

    def handle_endtag(self, tag: str) -> None:
        """End of a style or script."""
        self.hidden -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        if not self.hidden:
            self.told.append((self.getpos()[0], data))


def told_by_page(text: str) -> list[tuple[int, str]]:
    """Lines and texts of a page that reach a person; template comments are not among them."""
    reader = _Told()
    reader.feed(re.sub(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", " ", text))
    return reader.told


def told_by_code(tree: ast.Module) -> list[tuple[int, str]]:
    """Every piece of text in a module, its documentation too: command line and JSON door show theirs."""
    return [(node.lineno, node.value) for node in nodes_of(tree, ast.Constant) if isinstance(node.value, str)]


def findings(path: Path, told: list[tuple[int, str]]) -> list[str]:
    """Banned words by file and line."""
    return [f"{place(path, line)}: {found.group(0)}" for line, text in told if (found := BANNED.search(text))]


def test_pages_and_sheets_speak_the_trade():
    """No page says ticket, customer or dashboard; no sheet does either."""
    broken = []
    for path in sorted(SRC.rglob("*.html")):
        broken += findings(path, told_by_page(path.read_text(encoding="utf-8")))
    for path in sorted(SRC.rglob("*.typ")):
        lines = path.read_text(encoding="utf-8").splitlines()
        broken += findings(path, list(enumerate(lines, start=1)))
    assert broken == []


@pytest.mark.parametrize("room", SPOKEN)
def test_code_that_speaks_to_people_speaks_the_trade(room):
    """Sentences in code keep to the same words, screen or command line or JSON."""
    broken = []
    for path, tree in modules(SRC / room):
        broken += findings(path, told_by_code(tree))
    assert broken == []


def test_names_in_code_are_names_of_the_trade():
    """Modules, classes and functions are named from the glossary too, and nothing is called utils."""
    broken = [
        path.relative_to(ROOT).as_posix()
        for path, _ in modules(SRC)
        if BANNED.search(path.stem.replace("_", " ")) or path.stem in ("utils", "helpers", "misc", "common")
    ]
    for path, tree in modules(SRC):
        for node in (*nodes_of(tree, ast.FunctionDef), *nodes_of(tree, ast.ClassDef)):
            words = re.sub(r"(?<=[a-z])(?=[A-Z])|_", " ", node.name)
            broken += [f"{place(path, node.lineno)}: {node.name}"] if BANNED.search(words) else []
    assert broken == []


@pytest.mark.parametrize(
    ("page", "seen"),
    [
        ("<p>Ask the customer</p>", True),
        ('<input placeholder="ticket number">', True),
        ("<p>{# for the client #}Ask the owner</p>", False),
        ("<script>const clients = 1;</script><p>owner</p>", False),
        ('<p class="dashboard">owner</p>', False),
    ],
)
def test_the_question_itself_hears_what_a_person_hears(page, seen):
    """The rule is tried on planted pages: text and spoken attributes count, code and comments don't."""
    assert bool(findings(SRC / "x.html", told_by_page(page))) is seen
