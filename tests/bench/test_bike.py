"""The bike page: drawing with places to tap, build sheet, history, and the address in the hang tag's code."""

from collections.abc import Callable

import pytest
from django.test import Client

from pinchbolt.bench.bike.places import at_places, spots
from pinchbolt.drawing import PLACES
from pinchbolt.records.models import CornerCheck, Person
from pinchbolt.workshop.bikes.drawn_bike import pieces_of_template
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests import story
from tests.bench.conftest import Cast
from tests.story import NOW

pytestmark = pytest.mark.django_db


def test_the_page_shows_whose_bike_and_what_is_next(cast: Cast, tablet: Client) -> None:
    """At a glance: tag, owner, place, next step."""
    page = tablet.get(f"/bike/{cast.tag}/").content.decode()
    for said in (cast.tag, "Dov Ellenby", "on the rack", f'href="/job/{cast.job}/looks/"', "walk-round"):
        assert said in page


@pytest.mark.parametrize("written", ["pb-001", "PB-001", "Pb-001"])
def test_the_hang_tag_leads_to_its_bike_whatever_the_case(cast: Cast, tablet: Client, written: str) -> None:
    """A code in capitals is smaller; a hand types small letters."""
    answer = tablet.get(f"/b/{written}", follow=True)
    assert answer.status_code == 200
    assert answer.redirect_chain == [("/bike/PB-001/", 302)]
    assert tablet.get(f"/B/{written}").status_code == 302


def test_an_unknown_tag_is_said_plainly(cast: Cast, tablet: Client) -> None:
    """404 with the tag and what to do."""
    answer = tablet.get("/bike/ZZ-99/")
    assert answer.status_code == 404
    assert "No bike has the tag &quot;ZZ-99&quot;. Look at the hang tag" in answer.content.decode()


def test_each_place_of_the_drawing_leads_to_its_parts(cast: Cast, tablet: Client) -> None:
    """Every label of the drawing has its place in the build sheet below."""
    page = tablet.get(f"/bike/{cast.tag}/").content.decode()
    for place in at_places(bike_sheet(cast.tag, NOW).parts):
        assert f'class="bike-spot" href="#{place.place}"' in page
        assert f'id="{place.place}"' in page


def test_a_place_says_the_worst_of_its_last_findings(cast: Cast, tablet: Client) -> None:
    """The rear pads of the story are past their limit: the label of the rear brake says so, not the sound rotor."""
    story.walked_round(cast.story)
    said = {spot.place: spot.verdict for spot in spots(at_places(bike_sheet(cast.tag, NOW).parts))}
    worst = max(
        (f for part in bike_sheet(cast.tag, NOW).parts if part.spot == "rear-brake" for f in part.last),
        key=lambda finding: finding.rank,
    )
    assert worst.rank >= 3
    assert said["rear-brake"] == worst.verdict
    assert said["saddle"] == ""


def test_every_part_of_every_kind_has_a_place_that_was_chosen_for_it() -> None:
    """No part falls to the frame because nobody thought of it: its station names a corner, and that is on the drawing."""
    for kind in tables().kinds.values():
        if kind.fitted_to != "supply":
            for end in ("front", "rear"):
                assert tables().spots[kind.station_at(end)] in PLACES, kind.id


# What a mechanic would see at a glance, written down before the program was asked.
AT_A_GLANCE = {
    "road-disc": {"disc front", "disc rear", "derailleur", "sprockets"},
    "track": {"rim-brake front"},
    "city-hub-gear": {"rim-brake front", "hub-gear", "lamp", "carrier", "mudguards", "kickstand"},
    "full-suspension": {"disc front", "disc rear", "derailleur", "sprockets", "rear-shock"},
}


@pytest.mark.parametrize("template", AT_A_GLANCE)
def test_a_template_is_drawn_with_what_its_parts_bring(template: str) -> None:
    """A track bike has no brake behind, a hub gear no derailleur."""
    assert pieces_of_template(tables().templates[template]) == AT_A_GLANCE[template]


def test_a_childs_single_speed_shows_no_derailleur_and_no_lamp(cast: Cast) -> None:
    """It has a coaster brake, which is inside its hub, and blocks in front."""
    told = check_in(
        CheckInRequest(template="child", speeds=1, owner_name="Dov Ellenby", owner_words="Squeaks.", promise=NOW),
        by=cast.mechanic.pk, key="child-check-in", now=NOW,
    )  # fmt: skip
    assert bike_sheet(told.tag, NOW).pieces == {"rim-brake front"}


def test_the_whole_bike_is_confirmed_with_one_tap(cast: Cast, tablet: Client) -> None:
    """Every corner at once; the page leads back to the build sheet and says so; the history tells it once, not corner by corner."""
    before = tablet.get(f"/bike/{cast.tag}/").content.decode()
    assert "whole bike as shown" in before
    sent = tablet.post(f"/bike/{cast.tag}/as-shown/", {"key": "whole-bike-0001"})
    assert sent.status_code == 303
    assert sent["Location"] == f"/bike/{cast.tag}/#sheet"
    again = tablet.post(f"/bike/{cast.tag}/as-shown/", {"key": "whole-bike-0001"})
    assert again.status_code == 303
    assert set(CornerCheck.objects.values_list("corner", flat=True)) == set(PLACES)
    assert CornerCheck.objects.count() == len(PLACES)
    page = tablet.get(f"/bike/{cast.tag}/").content.decode()
    assert "whole bike as shown" not in page
    assert page.count("looked at, the parts are as shown") <= 1


def test_the_counter_does_not_confirm_a_bike(cast: Cast, signed_in: Callable[[Person], Client]) -> None:
    """It is for hands that look; the answer says so, and nothing is written."""
    answer = signed_in(cast.counter).post(f"/bike/{cast.tag}/as-shown/", {"key": "whole-bike-0002"})
    assert answer.status_code == 403
    assert "a mechanic" in answer.content.decode()
    assert not CornerCheck.objects.exists()


def test_a_long_history_is_cut_and_shown_whole_on_request(cast: Cast, tablet: Client) -> None:
    """The newest twenty lines first; all of them one tap away."""
    story.priced(story.walked_round(cast.story))
    for n in range(20):
        story.note_finding(
            story.FindingRequest(cast.job, f"Scratch number {n}.", "sound"),
            by=cast.mechanic.pk,
            key=f"scratch-{n:04d}",
            now=NOW,
        )
    short, whole = (tablet.get(f"/bike/{cast.tag}/{more}").content.decode() for more in ("", "?all"))
    assert "show all history" in short
    assert "show all history" not in whole
    assert "checked in</span>" not in short
    assert "checked in</span>" in whole


def test_what_the_owner_said_stays_readable(cast: Cast, tablet: Client) -> None:
    """The check-in of a job, with the step bar above it."""
    page = tablet.get(f"/job/{cast.job}/check-in/").content.decode()
    for said in (
        "Chain is nearly new, but it slips under load.",
        "Scratch on the left crank",
        "one key, front light",
        "30",
    ):
        assert said in page
    assert 'aria-current="step">check-in' in page
    assert 'class="way-next"><a data-ahead href="/job/1/looks/">' in page.replace(
        f"/job/{cast.job}/", "/job/1/"
    )


def test_an_unknown_job_is_said_plainly(cast: Cast, tablet: Client) -> None:
    """404 with its number."""
    answer = tablet.get("/job/4711/check-in/")
    assert answer.status_code == 404
    assert "There is no job 4711." in answer.content.decode()
