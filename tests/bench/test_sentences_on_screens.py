"""Every page as it is drawn keeps the rules of docs/style-of-words.md: short sentences, one word for one thing, no code, easy to read."""

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from statistics import median

import pytest
from django.test import Client

from pinchbolt.workshop.common.trade_tables import tables
from tests import story
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled
from tests.sentences import (
    as_prose,
    blocks_of_page,
    grade,
    said_as_a_figure,
    said_twice,
    too_long,
    turned_round,
)

pytestmark = pytest.mark.django_db

MOST_WORDS = 15
MEDIAN_GRADE, WORST_GRADE = 6.0, 9.0
OVER = tomllib.loads((Path(__file__).parents[1] / "sentences_over.toml").read_text(encoding="utf-8"))[
    "screens"
]
Read = Callable[[], dict[str, list[str]]]


@pytest.fixture
def read(cast: Cast, tablet: Client) -> Read:
    """Reads every page once: of a bike that was walked round and priced, then of the same bike with its work done."""

    def pages() -> dict[str, list[str]]:
        there = cast.story
        story.priced(story.walked_round(there))
        found = {page: blocks_of_page(_page(tablet, page, cast)) for page in [*PAGES, *MORE]}
        story.worked(story.answered(there, "pads-disc"))
        jobs = [page for page in PAGES if page.startswith("job/")]
        return found | {f"worked, {page}": blocks_of_page(_page(tablet, page, cast)) for page in jobs}

    return pages


def _page(tablet: Client, page: str, cast: Cast) -> str:
    return str(tablet.get(filled(page, cast), follow=True).content.decode())


def test_pages_keep_the_rules(read: Read) -> None:
    """All rules over all pages in one reading, since a page costs more than its rules.

    Length: no page has more sentences of over fifteen words than `sentences_over.toml` still allows it. Those figures only fall.
    """
    pages = read()
    kinds = tuple(tables().kinds)
    over = {page: too_long(texts, MOST_WORDS) for page, texts in pages.items()}
    longer = {page: found for page, found in over.items() if len(found) > OVER.get(page, 0)}
    assert longer == {}, "longer sentences than before"
    assert _broken(pages, said_as_a_figure) == {}
    assert _broken(pages, said_twice) == {}
    assert _broken(pages, lambda texts: turned_round(texts, kinds)) == {}
    grades = {
        page: grade(prose) for page, texts in pages.items() if len((prose := as_prose(texts)).split()) >= 30
    }
    assert len(grades) > 60
    assert median(grades.values()) <= MEDIAN_GRADE
    assert {page: found for page, found in grades.items() if found > WORST_GRADE} == {}


def _broken(pages: Mapping[str, list[str]], rule: Callable[[list[str]], list[str]]) -> dict[str, list[str]]:
    """What a rule finds, by page."""
    found = {page: rule(texts) for page, texts in pages.items()}
    return {page: said for page, said in found.items() if said}


def test_the_list_of_what_is_too_long_names_pages_that_are_there() -> None:
    """A page that went takes its line along."""
    known = {*PAGES, *MORE, *(f"worked, {page}" for page in PAGES)}
    assert set(OVER) <= known
    assert all(isinstance(count, int) and count > 0 for count in OVER.values())


@pytest.mark.parametrize(
    ("page", "blocks"),
    [
        ("<main><p>One. <b>Two</b> words</p><p>three</p></main>", ["One. Two words", "three"]),
        ("<nav>aside</nav><main><button>save</button> it<script>no</script></main>", ["save", "it"]),
        ("<main><label>a <input value='b'> c</label><svg><text>9</text></svg></main>", ["a", "c"]),
    ],
)
def test_blocks_are_read_as_they_stand(page: str, blocks: list[str]) -> None:
    """What is inside main, block by block, without drawings."""
    assert blocks_of_page(page) == blocks


def test_planted_sentences_are_found() -> None:
    """Each rule can fail."""
    long = "This is a sentence that has many more words in it than a person at the bench would read."
    assert too_long([f"Short one. {long}"], MOST_WORDS) == [long]
    assert said_as_a_figure(["worn out (60 % sure)", "odds 3 to 1", "8 in 10: 3 to 4", "15 % off"]) == [
        "60 % sure", "odds 3 to 1", "8 in 10:",
    ]  # fmt: skip
    assert said_twice(["3 joints stand open"]) == ["stand open"]
    assert turned_round(["new pads front, and the rear pads"], ("pads",)) == ["pads front"]
    assert turned_round(["rotor front wheel"], ("rotor", "wheel")) == []
    assert (
        grade("The cat sat. It was fat.")
        < 2
        < grade(re.sub(r"\s+", " ", long.replace("words", "characteristics")))
    )
