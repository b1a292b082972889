"""The shop day: each bike one tap from its next step, and a bike found in seconds."""

from collections.abc import Callable

import pytest
from django.test import Client

from pinchbolt.records.models import Job, Person
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.start_work import AsideRequest, StandRequest, put_on_stand, set_aside
from tests.bench.conftest import Cast
from tests.story import NOW

pytestmark = pytest.mark.django_db


def test_a_bike_on_the_rack_is_one_tap_from_its_walk_round(cast: Cast, tablet: Client) -> None:
    """What was just checked in hangs on the rack and leads to its readings."""
    page = tablet.get("/").content.decode()
    rack = page[page.index('class="rack"') :]
    assert f'href="/job/{cast.job}/looks/"' in rack
    assert "Dov Ellenby" in rack
    assert "it slips under load" in rack


def test_a_bike_on_a_stand_is_drawn_on_that_stand(cast: Cast, tablet: Client) -> None:
    """Stand 2 holds the bike; stands 1 and 3 are free."""
    put_on_stand(StandRequest(cast.job, 2), by=cast.mechanic.pk, key=cast.story.key(), now=NOW)
    page = tablet.get("/").content.decode()
    stands = page[page.index('class="stands"') : page.index('class="rack"')]
    first, second, third = stands.split("<li ")[1:]
    assert ("is-free" in first, "is-free" in second, "is-free" in third) == (True, False, True)
    assert f'href="/job/{cast.job}/looks/"' in second


def test_what_a_bike_waits_for_is_said_in_the_words_of_whoever_left_it(cast: Cast, tablet: Client) -> None:
    """The half-open state stands where the bike is looked for."""
    asked = AsideRequest(cast.job, "part", "rim not in yet; screws in tray 4")
    set_aside(asked, by=cast.mechanic.pk, key=cast.story.key(), now=NOW)
    page = tablet.get("/").content.decode()
    lane = page[page.index('aria-label="Waiting for a part"') : page.index('aria-label="Ready"')]
    assert "rim not in yet; screws in tray 4" in lane
    assert "is the part here?" in lane


def test_a_promise_that_passed_is_said_to_be_late(cast: Cast, tablet: Client) -> None:
    """Late is a word, not only a colour."""
    Job.objects.filter(pk=cast.job).update(promise=NOW.replace(day=24, hour=17))
    assert "late, promised yesterday 17:00" in tablet.get("/").content.decode()


@pytest.mark.parametrize("wanted", ["PB-001", "pb-001", "ellenby", "01632 960123"])
def test_a_bike_is_found_by_what_is_at_hand(cast: Cast, tablet: Client, wanted: str) -> None:
    """Tag in any case, a piece of the owner's name, the phone number."""
    answer = tablet.get("/find/", {"find": wanted})
    told = answer.get("Location", "") or answer.content.decode()
    assert f"/bike/{cast.tag}/" in told


def test_nothing_found_says_what_to_do(cast: Cast, tablet: Client) -> None:
    """The words that were looked for are shown as text, whatever they hold."""
    page = tablet.get("/find/", {"find": "<script>alert(1)</script>"}).content.decode()
    assert "Nothing found" in page
    assert "<script>alert" not in page


def test_the_shop_day_only_shows(cast: Cast, tablet: Client) -> None:
    """Nothing is sent to it."""
    assert tablet.post("/").status_code == 405


def test_the_counter_sees_the_day(cast: Cast, signed_in: Callable[[Person], Client]) -> None:
    """Everybody who works here may look."""
    assert signed_in(cast.counter).get("/").status_code == 200


def test_a_bike_is_never_called_sound_by_what_was_not_looked_at(cast: Cast, tablet: Client) -> None:
    """One sound reading of forty looks: nothing found so far, and no tick; something found is its verdict."""
    story = cast.story
    good = FindingRequest(story.job, "Bottle cage is tight.", "sound")
    note_finding(good, by=story.first, key=story.key(), now=NOW)
    of_job = f"/job/{cast.job}/check-in/"
    assert "nothing found so far" in tablet.get("/").content.decode()
    for page in ("/", of_job):
        assert 'class="verdict' not in tablet.get(page).content.decode(), page
    found = FindingRequest(story.job, "Cut through the casing.", "unsafe to ride")
    note_finding(found, by=story.first, key=story.key(), now=NOW)
    day = tablet.get("/").content.decode()
    assert "unsafe to ride" in day and "nothing found so far" not in day
    assert "<strong>unsafe to ride</strong>" in tablet.get(of_job).content.decode()
