"""Does it fit, asked in words on the page; which part fits; tyre and chain length from the bike."""

import re

import pytest
from django.test import Client

from tests import story
from tests.bench.conftest import Cast

pytestmark = pytest.mark.django_db
# Five everyday questions, without a code, with what a good mechanic answers.
EVERYDAY = (
    ("27.2 seat post in a 31.6 frame", "fits with shim 27.2 to 31.6"),
    ("DOT 4 in a mineral oil brake", "does not fit"),
    ("disc wheel in a rim brake bike", "does not fit"),
    ("10 speed chain on 11 speed drive", "does not fit"),
    ("centre lock rotor on six bolt hub", "does not fit"),
)


def text_of(answer: object) -> str:
    """The page without its marks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))  # type: ignore[attr-defined]


@pytest.mark.parametrize(("words", "said"), EVERYDAY)
def test_a_question_in_words_is_answered_on_the_page(tablet: Client, words: str, said: str) -> None:
    """The verdict, its reason, and the codes small behind the words."""
    answer = tablet.get("/fit/", {"words": words})
    assert answer.status_code == 200 and said in text_of(answer)


def test_what_was_asked_for_leads_and_a_misfit_always_does(tablet: Client) -> None:
    """How long a valve comes before what else is not known of it."""
    told = text_of(tablet.get("/fit/", {"words": "valve length for 50 mm rim"}))
    assert told.index("62 mm and more") < told.index("cannot tell")


def test_what_is_not_understood_is_said_and_kept_in_the_box(tablet: Client) -> None:
    """With what to do next."""
    answer = tablet.get("/fit/", {"words": "xyzzy"})
    assert answer.status_code == 422 and "Name two parts" in text_of(answer)
    assert 'value="xyzzy"' in answer.content.decode()


def test_the_swap_page_has_the_same_box(tablet: Client) -> None:
    """One box, one answer."""
    assert 'action="/fit/"' in tablet.get("/swap/").content.decode()


def test_which_part_fits_a_bike(cast: Cast, tablet: Client) -> None:
    """By the name of its standard."""
    story.know(cast.tag, {"seat_tube": 31.6})
    told = text_of(tablet.get("/fit/", {"bike": cast.tag, "part": "seat post"}))
    assert "fits 31.6 mm" in told and "shim 27.2 to 31.6" in told


def test_tyre_and_chain_length_are_reached_from_the_bike_and_filled_from_it(
    cast: Cast, tablet: Client
) -> None:
    """A tap on the bike's page; what the build sheet knows is not typed again."""
    page = tablet.get(f"/bike/{cast.tag}/").content.decode()
    assert f"/tyre/?tag={cast.tag}" in page and f"/chain-length/?tag={cast.tag}" in page
    story.know(
        cast.tag,
        {
            "tyre": "28-622",
            "rim_inner": 19,
            "rim_bsd": 622,
            "hook": True,
            "ring_big": 50,
            "sprocket_big": 34,
            "chainstay_mm": 410,
        },
    )
    tyre = text_of(tablet.get("/tyre/", {"tag": cast.tag, "total_kg": "85", "tyre_max_bar": "7"}))
    assert "28 mm on a seat of 622 mm" in tyre and "to start from; never above 7.0" in tyre
    chain = text_of(tablet.get("/chain-length/", {"tag": cast.tag}))
    assert "Cut to 110 pitches" in chain
    story.know(cast.tag, {"ring_big": 50})
    missing = tablet.get("/chain-length/", {"tag": cast.tag})
    # Arrived from the bike's page nothing was refused yet; what is asked without it is.
    assert missing.status_code == 200 and "Not all is on the build sheet" in text_of(missing)
    asked = tablet.get("/chain-length/", {"tag": cast.tag, "sprocket": "34"})
    assert asked.status_code == 422 and "Measure from crank spindle to rear axle" in text_of(asked)


def test_a_tyre_that_does_not_fit_gets_no_pressure_on_the_page(tablet: Client) -> None:
    """The misfit leads."""
    asked = {
        "marking": "28-622",
        "rim_inner_mm": "25",
        "hooked": "no",
        "allowed_hookless": "yes",
        "total_kg": "85",
    }
    told = text_of(tablet.get("/tyre/", asked))
    assert "does not fit 28 on a 25 mm hookless rim" in told and "to start from" not in told
