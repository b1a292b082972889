"""Sentences as they are drawn, with an owner's words and long names in them: at most fifteen words each.

As on the templates a colon and a semicolon end a sentence. A list of three things and more is read thing by thing.
"""

import re
from collections.abc import Callable

import pytest

from tests.bench.conftest import Opened
from tests.bench.pages import MORE, PAGES
from tests.sentences import as_prose, blocks_of_page, grade, sentences_of, too_long

MOST_WORDS = 15
WORST_GRADE = 9.0
"""School grade of a page as it is drawn."""


@pytest.mark.parametrize("address", [*PAGES, *MORE], scope="session")
def test_no_drawn_sentence_is_longer_than_a_glance(opened: Callable[[str], Opened], address: str) -> None:
    """What is put together from parts is one sentence to whoever reads it."""
    blocks = blocks_of_page(opened(address).said)
    assert grade(as_prose(blocks)) <= WORST_GRADE
    whole = [one for block in blocks for one in sentences_of(block) if one[-1] in ".?!"]
    pieces = [piece for one in whole for piece in re.split(r"[:;]\s|\.(?=[A-Z])", one)]
    long = too_long([piece for piece in pieces if piece.count(", ") < 2], MOST_WORDS)
    assert not long, "\n".join(long)
