"""The page on describing a bike is true: what it tells to tap stands on the screens, and does what it says."""

import re
from pathlib import Path

import pytest
from django.test import Client

from tests.bench.conftest import Cast
from tests.workshop.build_story import part_on, take_off

pytestmark = pytest.mark.django_db
PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "describe-a-bike.md"
TEXT = PAGE.read_text(encoding="utf-8")


def test_every_tap_of_the_page_is_on_the_screens(cast: Cast, tablet: Client) -> None:
    """Each word of the table that is to be tapped: on the build sheet, or one tap behind it."""
    take_off(cast.story, part_on(cast.story, "rotor", "rear"), "bins")
    rotor = part_on(cast.story, "rotor", "front").pk
    at = f"/bike/{cast.tag}/build"
    pages = [f"{at}/", f"{at}/add/?kind=bell", f"{at}/add/?kind=rotor&end=rear"]
    pages += [f"{at}/part/{rotor}/?do={act}" for act in ("describe", "mark", "replace", "off")]
    seen = " ".join(tablet.get(page).content.decode().lower() for page in pages)
    taps = re.findall(r"\*([a-z][^*\n]+)\*", TEXT.partition("## At the bike")[2].partition("## ")[0])
    assert len(taps) >= 10
    assert [tap for tap in taps if f">{tap.lower()}" not in seen] == []


def test_the_check_in_of_the_page_offers_a_bike_from_nothing(tablet: Client) -> None:
    """Under the words that the page quotes: every kind of bike."""
    (quoted,) = re.findall(r"under \"([^\"]+)\"", TEXT)
    page = tablet.get("/check-in/").content.decode()
    assert quoted in page and 'href="/check-in/?kind=trike"' in page


@pytest.mark.parametrize("at", ["/bike/{tag}/", "/job/{job}/check-in/", "/job/{job}/walk-round/"])
def test_the_build_sheet_is_where_the_page_says(cast: Cast, tablet: Client, at: str) -> None:
    """On the bike page, at check-in and in the walk-round."""
    content = tablet.get(at.format(tag=cast.tag, job=cast.job)).content.decode()
    assert f'href="/bike/{cast.tag}/build/' in content
