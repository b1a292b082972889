"""Pages keep the rules of docs/style-of-words.md: short sentences, and one word for one thing."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.source import SRC, place

MOST_WORDS = 15
"""In one sentence of a page."""
# What a page must not say, beside what no sentence of code may say, and what it says instead: docs/style-of-words.md.
DOUBLES = {
    r"stands? open": "to do",
    r"^(?!8 times out of 10$).*\b(?:\d+|it) (?:times out|in|of|out) of (?:10|20|50|100)\b": "likely, or odds_words",
    r"pairs? of eyes": "second look, by somebody else",
    r"light of the page": "screen",
    r"write (?:it|this \w+) down": "save, or add",
    r"take (?:it|the \w+) in\b": "check in, or add",
    r"put (?:it )?on the estimate": "add to estimate",
    r"(?:sprockets|speeds) behind": "rear sprockets, 11-speed",
    r"\bbegun\b": "started",
    r"done value": "torque",
    r"not met\b": "not right",
    r"nobody knows": "not known",
    r"\banew\b": "again",
    r"reckoned": "worked out",
    r"gain ratio": "metres ridden per metre of pedal",
    r"15 % drop": "flattens by about a seventh",
}
# A sentence runs on through these; every other tag ends it.
_INLINE = r"/?(?:strong|em|code|b)\b"


def sentences(page: str) -> Iterator[tuple[int, str]]:
    """Line and words of every sentence of a template; a value counts as one word, and a tag of the template ends a sentence."""
    text = re.sub(r"\{%\s*comment.*?endcomment\s*%\}|<script\b.*?</script>", _blank, page, flags=re.DOTALL)
    text = re.sub(r"\{%.*?%\}", _end, text, flags=re.DOTALL)
    text = re.sub(r"\{\{.*?\}\}", "it", text)
    text = re.sub(rf"<(?!{_INLINE})[^>]*>", _end, text)
    text = re.sub(r"<[^>]*>", "", text)
    line = 1
    for piece in re.split(r"(\x00|(?<=[.!?:;])\s)", text):
        words = " ".join(piece.replace("\x00", " ").split())
        if words:
            yield line, words
        line += piece.count("\n")


def _blank(found: re.Match[str]) -> str:
    return "\n" * found.group(0).count("\n")


def _end(found: re.Match[str]) -> str:
    return "\x00" + _blank(found)


def pages() -> list[Path]:
    """Every template of the screens."""
    return sorted((SRC / "bench").rglob("*.html"))


def test_no_sentence_of_a_page_is_long() -> None:
    """A glance takes in fifteen words."""
    long = [
        f"{place(path, line)}: {len(words.split())} words: {words}"
        for path in pages()
        for line, words in sentences(path.read_text(encoding="utf-8"))
        if len([word for word in words.split() if re.search("[A-Za-z]", word)]) > MOST_WORDS
    ]
    assert long == []


def test_one_thing_has_one_word_on_every_page() -> None:
    """No page says a double of a word that has been chosen."""
    broken = [
        f"{place(path, line)}: {found.group(0)}: say {use}"
        for path in pages()
        for line, words in sentences(path.read_text(encoding="utf-8"))
        for pattern, use in DOUBLES.items()
        if (found := re.search(pattern, words))
    ]
    assert broken == []


def test_what_is_chosen_is_sent_by_its_code() -> None:
    """An option without a value sends the words that are shown, which are others in another language."""
    bare = [
        f"{place(path, line)}: {found}"
        for path in pages()
        for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        for found in re.findall(r"<option(?:\{%.*?%\}|[^<>])*>", text)
        if "value=" not in found
    ]
    assert bare == []


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("<p>One.\nTwo {{ x }} {# no #}.</p>", [(1, "One."), (2, "Two it {# no #}.")]),
        ("<p>a <strong>b</strong> c</p><p>d</p>", [(1, "a b c"), (1, "d")]),
        ("{% if x %}yes{% else %}no{% endif %}", [(1, "yes"), (1, "no")]),
        ("{% comment %}told to nobody\n{% endcomment %}<p>here</p>", [(2, "here")]),
    ],
)
def test_the_reader_of_pages_finds_what_is_planted(page: str, found: list[tuple[int, str]]) -> None:
    """Values are a word, tags end a sentence, comments are not read, and lines are counted."""
    assert list(sentences(page)) == found
