"""No bare code of the tables on a screen: what a part meets is said in words, and a code stands small behind them."""

import re

import pytest
from django.test import Client

from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from tests import story
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled
from tests.paper.test_codes_in_words import bare
from tests.story import NOW
from tests.workshop.parts.test_swap import ROAD

pytestmark = pytest.mark.django_db

# What is no text to read: what a button sends, and the small code behind the words.
_NO_TEXT = re.compile(
    r"<(script|option)\b.*?</\1>|<(\w+) class=\"(?:code|tag-code)\">.*?</\2>|<span class=\"note\">[\w.-]+</span>|<[^>]*>",
    re.DOTALL,
)


@pytest.mark.parametrize("page", [*PAGES, *MORE])
def test_no_page_says_a_bare_code(cast: Cast, tablet: Client, page: str) -> None:
    """A bike of which all is known that fit rules ask: every page, with what a chooser offers left out."""
    story.add_facts(cast.tag, ROAD)
    said = tablet.get(filled(page, cast), follow=True).content.decode()
    assert bare(_NO_TEXT.sub(" ", said)) == set()


def test_the_answer_of_a_swap_says_no_bare_code(cast: Cast, tablet: Client) -> None:
    """A wheel between two bikes with all checks, what is missing and both sides."""
    story.add_facts(cast.tag, ROAD)
    other = story.checked_in("gravel-1x")
    asked = {"into": cast.tag, "out_of": other.tag, "move": "rear wheel"}
    said = tablet.get("/swap/", asked, follow=True).content.decode()
    assert "With that part alone" in said
    assert bare(_NO_TEXT.sub(" ", said)) == set()


def test_the_bins_say_what_a_part_meets_in_words_alone(cast: Cast, tablet: Client) -> None:
    """Not even small behind the words: whoever looks into a bin has no table at hand."""
    file = "number,kind,words,price,count,cassette\nCS-1,cassette,ten-speed cassette,42.00,1,c10-narrow\n"
    take_in_parts(PartsRequest(file), by=cast.mechanic.pk, key="bins-in-words", now=NOW)
    said = tablet.get("/bins/").content.decode()
    assert "packed 1 mm narrower" in said and "c10-narrow" not in said
