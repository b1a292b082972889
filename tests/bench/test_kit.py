"""The kit page: bikes and joints chosen by taps, and what it says of the kit."""

import re

import pytest
from django.test import Client

from pinchbolt.records.models import Event, Tool
from pinchbolt.reference import tables
from tests.bench.conftest import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def hung(cast: Cast) -> None:
    """Every hand tool of the table hangs here."""
    for row in tables().tools.values():
        Tool.objects.create(table_id=row.id, name=row.name)


def test_the_page_offers_the_bikes_that_are_here(cast: Cast, tablet: Client) -> None:
    """And asks for nothing else before one is chosen."""
    page = tablet.get("/kit/").content.decode()
    assert f'name="bike" value="{cast.tag}"' in page and "No set of these" not in page


def test_a_travel_kit_says_how_much_what_for_and_that_none_is_better(
    hung: None, cast: Cast, tablet: Client
) -> None:
    """Count, mass, price; the proof; joints kept to their torque; what each tool turns."""
    page = tablet.get(f"/kit/?bike={cast.tag}&choose=travel&least=mass").content.decode()
    assert re.search(r"\d+ tools?</span> <span>[\d,]+ g</span> <span>£", page)
    assert "does better than" in page and "Torque tool in the kit for" in page
    assert "seat post collar" in page and "bottle" not in page
    assert f'value="{cast.tag}" checked' in page and 'value="mass" checked' in page


def test_leaving_a_tool_out_is_one_tap_and_says_what_is_lost(hung: None, cast: Cast, tablet: Client) -> None:
    """The same choice, without one tool."""
    page = tablet.get(f"/kit/?bike={cast.tag}&choose=travel").content.decode()
    link = re.search(r'href="(\?[^"]*without=[^"]*)"', page)
    assert link is not None
    without = tablet.get("/kit/" + link.group(1).replace("&amp;", "&")).content.decode()
    assert "this kit can no longer:" in without


def test_a_known_tag_may_be_typed_and_an_unknown_one_is_said(hung: None, cast: Cast, tablet: Client) -> None:
    """Whatever the case; 404 with a sentence, the choice kept."""
    assert "does better than" in tablet.get(f"/kit/?bike={cast.tag.lower()}").content.decode()
    answer = tablet.get(f"/kit/?bike={cast.tag}&bike=XX-9&least=price")
    page = answer.content.decode()
    assert answer.status_code == 404 and "No bike has the tag" in page and 'value="price" checked' in page


def test_a_word_that_is_not_offered_is_refused_in_a_sentence(cast: Cast, tablet: Client) -> None:
    """422, and what is allowed."""
    answer = tablet.get(f"/kit/?bike={cast.tag}&choose=picnic")
    assert answer.status_code == 422 and "all, roadside, travel" in answer.content.decode()


def test_choosing_a_kit_writes_nothing_and_is_for_those_who_work_here(
    hung: None, cast: Cast, tablet: Client
) -> None:
    """A question only; signed out leads to the sign-in; no POST."""
    before = Event.objects.count()
    tablet.get(f"/kit/?bike={cast.tag}")
    assert Event.objects.count() == before
    assert Client().get("/kit/").status_code == 302
    assert tablet.post("/kit/").status_code == 405


def test_a_bike_leads_to_its_kit_and_its_round(cast: Cast, tablet: Client) -> None:
    """One tap each from the bike page."""
    page = tablet.get(f"/bike/{cast.tag}/").content.decode()
    assert f'href="/kit/?bike={cast.tag}"' in page and f'href="/bike/{cast.tag}/bolt-round/"' in page
