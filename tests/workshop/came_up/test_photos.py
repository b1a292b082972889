"""Photos of a stay: kept small, told in order, and a wrong one is taken away until the bike leaves."""

from io import BytesIO

import pytest
from PIL import Image

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Photo
from pinchbolt.workshop.came_up.photos import (
    ABOUT,
    PhotoAwayRequest,
    photos_of,
    small_jpeg,
    take_photo,
    take_photo_away,
)
from tests import story
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def shot(width: int = 40, height: int = 30) -> bytes:
    """A picture of one colour."""
    into = BytesIO()
    Image.new("RGB", (width, height), (120, 20, 20)).save(into, "PNG")
    return into.getvalue()


def taken(at: Story, words: str = "") -> int:
    """One photo of the first thing on the list."""
    return take_photo(at.job, ABOUT[0], words, shot(), by=at.first, key=at.key(), now=NOW)


def away(at: Story, photo: int) -> None:
    """It was a wrong one."""
    take_photo_away(PhotoAwayRequest(at.job, photo), by=at.first, key=at.key(), now=NOW)


def test_photos_stand_in_order_with_their_words_and_who_took_them(arrived: Story) -> None:
    """Two of them."""
    first, second = taken(arrived, "left crank"), taken(arrived)
    seen = photos_of(arrived.record)
    assert [(one.about, one.words, one.by) for one in seen] == [
        (ABOUT[0], "left crank", "Ines Holloway"),
        (ABOUT[0], "", "Ines Holloway"),
    ]
    assert [one.pk for one in Photo.objects.order_by("pk")] == [first, second]


def test_a_wrong_photo_goes_and_the_others_stay(arrived: Story) -> None:
    """Of its own job alone: a number of another job, or of none, takes nothing away."""
    first, second = taken(arrived), taken(arrived)
    other = story.checked_in("gravel-1x")
    for at, photo in ((other, first), (arrived, 987654)):
        with pytest.raises(NotFound, match=f"There is no photo {photo} at this job"):
            away(at, photo)
    away(arrived, first)
    assert [one.pk for one in Photo.objects.all()] == [second]


def test_of_a_bike_that_is_gone_no_photo_is_added_or_taken_away(on_the_stand: Story) -> None:
    """What was seen stays seen; only the owner of the workshop erases it."""
    photo = taken(on_the_stand)
    story.handed_over(story.signed_off(on_the_stand))
    with pytest.raises(NotPossibleNow, match="is gone: nothing is added to this job"):
        taken(on_the_stand)
    with pytest.raises(NotPossibleNow, match="ask the owner of the workshop to erase the photo"):
        away(on_the_stand, photo)
    assert Photo.objects.count() == 1


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (b"%PDF-1.7 a sheet", "That is a PDF: take a photo"),
        (b"no picture at all", "That is no photo that can be read"),
        (shot()[:60], "The photo is broken off or damaged"),
    ],
)
def test_what_is_no_photo_is_refused(sent: bytes, sentence: str) -> None:
    """With what it is."""
    with pytest.raises(InputRefused, match=sentence):
        small_jpeg(sent)


def test_a_large_photo_is_made_small_and_keeps_its_shape() -> None:
    """Four to three stays four to three."""
    kept = Image.open(BytesIO(small_jpeg(shot(4000, 3000), side=800)))
    assert kept.size == (800, 600) and kept.format == "JPEG"
