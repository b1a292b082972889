"""What a bike is made of, and how that is known, is told and asked on the screens."""

import re

import pytest
from django.test import Client

from tests.bench.conftest import Cast
from tests.workshop.build_story import describe, part_on

pytestmark = pytest.mark.django_db

NOT_LOOKED_AT = "not looked at"


def words_of(page: bytes) -> str:
    """The words of a page without its marks and drawings."""
    bare = re.sub(r"<(svg|script|style).*?</\1>|<[^>]+>", " ", page.decode(), flags=re.DOTALL)
    return " ".join(bare.split())


def test_what_a_build_guessed_is_told_as_a_guess(cast: Cast, tablet: Client) -> None:
    """A new bike from a build: its lining, its rotors and the rest say that nobody has looked at them."""
    assert NOT_LOOKED_AT in words_of(tablet.get(f"/bike/{cast.tag}/").content)


def test_what_was_read_off_a_part_is_told_with_its_part(cast: Cast, tablet: Client) -> None:
    """Sintered, read off the pads behind: said at the pads, with how it is known."""
    describe(cast.story, part_on(cast.story, "pads", "rear"), pads="sintered")
    assert re.search(r"sintered.{0,40}read off the part", words_of(tablet.get(f"/bike/{cast.tag}/").content))


@pytest.mark.parametrize("at", ["/bike/{tag}/", "/job/{job}/walk-round/", "/job/{job}/check-in/"])
def test_the_build_sheet_is_one_tap_away(cast: Cast, tablet: Client, at: str) -> None:
    """From the bike, from the walk-round and from the check-in: a link to add, replace, take off and describe."""
    content = tablet.get(at.format(tag=cast.tag, job=cast.job)).content.decode()
    assert f'href="/bike/{cast.tag}/build/' in content


def test_a_bike_can_be_begun_from_nothing(cast: Cast, tablet: Client) -> None:
    """Beside the builds there is the bike that none of them is like."""
    page = words_of(tablet.get("/check-in/?q=nobody").content).lower()
    assert "the frame alone" in page
