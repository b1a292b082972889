"""The few tools to have at home, on paper: for every bike of the owner, with their prices, on one page."""

from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.paper import home_tools_sheet
from pinchbolt.records.models import Bike
from pinchbolt.workshop.torque.home_tools import HomeRequest, home_tools, home_tools_of_owner
from tests import story
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db


@pytest.fixture
def at() -> Story:
    """A touring bike, and another bike of the same owner."""
    first = story.checked_in("tourer")
    second = story.checked_in("gravel-1x")
    Bike.objects.filter(tag=second.tag).update(owner=Bike.objects.get(tag=first.tag).owner)
    return first


def test_each_tool_stands_there_with_what_it_costs_about(at: Story) -> None:
    """For both bikes; the same tools as the question gives, and what stays for the workshop."""
    bikes, seen = home_tools_of_owner(at.tag, 5, TODAY)
    assert len(bikes) == 2 and seen == home_tools(HomeRequest(bikes, 5), TODAY)
    pdf = home_tools_sheet(at.tag, 5, NOW)
    paper = words(pdf)
    assert all(tag in paper for tag in bikes) and len(seen.tools) == 5
    for one in seen.tools:
        assert one.name in paper and f"{one.price_from:.2f}" in paper
    assert f"{seen.price_to:.2f}" in paper and "What stays for the workshop" in paper
    assert len(PdfReader(BytesIO(pdf)).pages) == 1 and pdf == home_tools_sheet(at.tag, 5, NOW)


def test_what_can_not_be_printed_is_refused(at: Story) -> None:
    """No such bike; no such number."""
    with pytest.raises(NotFound):
        home_tools_sheet("PB-999", 5, NOW)
    with pytest.raises(InputRefused, match="1 to 12 are possible"):
        home_tools_sheet(at.tag, 0, NOW)


def test_it_is_asked_for_at_the_bike(at: Story, client: Client) -> None:
    """A file by the bike's tag; a stranger is led to the sign-in."""
    assert client.get(f"/paper/bike/{at.tag}/home-tools.pdf").status_code == 302
    client.post("/sign-in/", {"sign_in": "ines", "passphrase": story.PASSPHRASE})
    answer = client.get(f"/paper/bike/{at.tag}/home-tools.pdf")
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF")
    assert f"/paper/bike/{at.tag}/home-tools.pdf" in client.get(f"/bike/{at.tag}/").content.decode()
