"""Reads what a person reads: the blocks of a page, the sentences in them, and how hard they are.

A block is what stands by itself on a page: a paragraph, a row of a list, a label, a button. Its sentences end at a full stop, a
question mark or an exclamation mark. Drawings are left out: their words are figures.
"""

import re
import warnings
from collections.abc import Iterable
from html.parser import HTMLParser

_BLOCK = {
    "p", "li", "h1", "h2", "h3", "h4", "label", "legend", "summary", "button", "option", "dt", "dd", "td", "th", "tr",
    "div", "section", "article", "header", "footer", "nav", "form", "fieldset", "ul", "ol", "dl", "details", "table", "main",
    "textarea", "select", "figure", "figcaption", "caption", "input", "br", "hr", "aside", "a",
}  # fmt: skip
_SILENT = {"script", "style", "svg", "option", "textarea"}
_VOID = {"input", "br", "hr", "img", "meta", "link"}
_END = re.compile(r"(?<=[.?!])[\"”)]?\s+(?=[A-Z\"“(£€\d])")
_WORD = re.compile(r"[A-Za-z0-9£€%][\w£€%.,:/'’×·-]*")


class _Blocks(HTMLParser):
    """Collects the text of each block inside `main`."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.now: list[str] = []
        self.silent = 0
        self.inside = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A block ends the one before it."""
        self.inside += tag == "main"
        if tag in _SILENT:
            self.silent += 1
        if tag in _BLOCK:
            self.close_block()

    def handle_endtag(self, tag: str) -> None:
        """So does its end."""
        if tag in _SILENT:
            self.silent -= 1
        if tag in _BLOCK:
            self.close_block()
        self.inside -= tag == "main"

    def handle_data(self, data: str) -> None:
        """Keep what is read."""
        if self.inside and not self.silent:
            self.now.append(data)

    def close_block(self) -> None:
        """Put the block away."""
        text = " ".join("".join(self.now).split())
        if text:
            self.found.append(text)
        self.now = []


def blocks_of_page(page: str) -> list[str]:
    """Return the texts of a page's blocks, in order."""
    reader = _Blocks()
    reader.feed(page)
    reader.close_block()
    return reader.found


def sentences_of(text: str) -> list[str]:
    """Return the sentences of a block."""
    return [one.strip() for one in _END.split(text) if one.strip()]


def words_of(sentence: str) -> list[str]:
    """Return its words; a figure with its unit is two."""
    return _WORD.findall(sentence)


def too_long(texts: Iterable[str], most: int) -> list[str]:
    """Return the sentences with more than *most* words, each once."""
    found = (one for text in texts for one in sentences_of(text) if len(words_of(one)) > most)
    return list(dict.fromkeys(found))


def as_prose(texts: Iterable[str]) -> str:
    """Return sentences of three words and more as running text: labels and figures are no sentences to be graded."""
    told = (one for text in texts for one in sentences_of(text))
    return " ".join(
        one if one[-1] in ".?!" else f"{one}." for one in dict.fromkeys(told) if len(words_of(one)) >= 3
    )


def grade(prose: str) -> float:
    """Return the school grade at which a text is understood: Flesch and Kincaid's, as textstat reckons it."""
    with warnings.catch_warnings():
        # The release that needs no corpora from the network asks setuptools for its own version.
        warnings.simplefilter("ignore")
        import textstat
    return float(textstat.flesch_kincaid_grade(prose))
