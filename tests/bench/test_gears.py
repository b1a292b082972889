"""The gears page: drawn, after a swap below them, and what a hill asks for."""

import pytest
from django.test import Client

from tests import story
from tests.bench.conftest import Cast
from tests.bench.test_swap import text_of

pytestmark = pytest.mark.django_db
DRIVE = {"rings": "50/34", "sprockets": "11-13-15-18-21-24-28", "tyre": "28-622"}


def test_gears_are_drawn_before_and_after(cast: Cast, tablet: Client) -> None:
    """34/28 to 34/36: 28 / 36 is 22 % lower, by hand."""
    answer = tablet.get("/gears/", {**DRIVE, "after_sprockets": "11-13-15-18-21-26-32-36"})
    page = answer.content.decode()
    assert answer.status_code == 200 and page.count("the gears now and after the swap") >= 2
    assert "the lowest gear is 22 % lower; the highest gear is the same" in text_of(answer)


def test_a_hill_says_whether_the_lowest_gear_will_do(cast: Cast, tablet: Client) -> None:
    """All three figures, or none."""
    hill = {"gradient_percent": "9", "mass_kg": "85", "power_w": "200"}
    assert "too high" in text_of(tablet.get("/gears/", {**DRIVE, **hill}))
    answer = tablet.get("/gears/", {**DRIVE, **hill, "power_w": ""})
    assert answer.status_code == 422 and "A hill needs its steepness" in text_of(answer)
    assert 'value="85"' in answer.content.decode()


def test_the_gears_of_a_bike_come_from_its_build_sheet(cast: Cast, tablet: Client) -> None:
    """What is missing is said, as nothing refused on arrival; once it is there they are drawn."""
    missing = tablet.get("/gears/", {"tag": cast.tag})
    assert missing.status_code == 200 and "are not on the build sheet" in text_of(missing)
    story.add_facts(cast.tag, {"rings": "50 34", "sprockets": "11 13 15 18 21 24 28"})
    assert "34/28" in text_of(tablet.get("/gears/", {"tag": cast.tag}))


@pytest.mark.parametrize(
    ("change", "status", "sentence"),
    [
        ({"sprockets": "many"}, 422, "counts of teeth are needed"),
        ({"tyre": "700C"}, 422, "two figures in mm"),
        ({"cadence_rpm": "fast"}, 422, "a number in rpm is expected"),
        ({"tag": "PB-099"}, 404, "No bike has the tag"),
    ],
)
def test_a_drive_of_no_sense_is_refused(
    cast: Cast, tablet: Client, change: dict[str, str], status: int, sentence: str
) -> None:
    """With what is expected, the entries kept."""
    answer = tablet.get("/gears/", {**DRIVE, **change})
    assert (answer.status_code, sentence in text_of(answer)) == (status, True)
    assert f'value="{next(iter(change.values()))}"' in answer.content.decode()


def test_gears_are_for_those_who_work_here_and_only_looked_at(
    cast: Cast, tablet: Client, client: Client
) -> None:
    """Signed out leads to the sign-in; nothing is posted."""
    assert client.get("/gears/")["Location"] == "/sign-in/?next=/gears/"
    assert tablet.post("/gears/").status_code == 405
