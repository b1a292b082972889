"""Photos of a stay: small, upright, without place or camera; what is no photo says so; a wrong one goes."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image
from PIL.JpegImagePlugin import JpegImageFile

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Photo
from pinchbolt.workshop.came_up import photos
from pinchbolt.workshop.came_up.photos import MOST_KEPT, MOST_SIDE, small_jpeg
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import key
from tests.story import NOW

# Tags of EXIF 2.32 (CIPA DC-008): turned by a quarter, the camera's maker, the place.
TURNED, MAKER, PLACE = 0x0112, 0x010F, 0x8825


def shot(wide: int = 3000, high: int = 2000, kind: str = "JPEG") -> bytes:
    """A noisy picture with a turned camera, its maker and a place."""
    picture = Image.effect_noise((wide, high), 90).convert("RGB")
    exif = Image.Exif()
    exif[TURNED], exif[MAKER] = 6, "A camera"
    exif.get_ifd(PLACE)[1] = "N"
    into = BytesIO()
    picture.save(into, kind, exif=exif, quality=95)
    return into.getvalue()


def test_a_photo_is_kept_small_upright_and_without_place() -> None:
    """A quarter turn is done, both sides fit, the bytes fit, and nothing of the camera is left."""
    kept = small_jpeg(shot())
    with Image.open(BytesIO(kept)) as seen:
        assert (
            seen.format == "JPEG"
            and MOST_SIDE * 3 // 4 <= max(seen.size) <= MOST_SIDE
            and seen.height > seen.width
        )
        assert not dict(seen.getexif()) and "exif" not in seen.info
    assert len(kept) <= MOST_KEPT and b"A camera" not in kept


def test_a_photo_is_made_small_before_anybody_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """No act is begun for it, it is unpacked no larger than it needs to be, and one larger than any is not unpacked at all."""
    monkeypatch.setattr(photos, "act", lambda *kind, **told: pytest.fail("an act was begun"))
    with pytest.raises(InputRefused, match="That is a PDF"):
        photos.take_photo(1, "work", "", b"%PDF-1.7 x", by=1, key="photo-0001", now=NOW)
    unpacked: list[int] = []
    load = JpegImageFile.load

    def loaded(self: JpegImageFile) -> object:
        unpacked.append(max(self.size))
        return load(self)

    monkeypatch.setattr(JpegImageFile, "load", loaded)
    small_jpeg(shot(3200, 2000))
    assert max(unpacked) == MOST_SIDE
    unpacked.clear()
    monkeypatch.setattr(photos, "_MOST_PIXELS", 1000)
    with pytest.raises(InputRefused, match="larger than any photo"):
        small_jpeg(shot(400, 300))
    assert unpacked == []


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (b"%PDF-1.7 x", "That is a PDF"),
        (b"hello", "no photo that can be read"),
        (shot()[:2000], "broken off"),
    ],
)
def test_what_is_no_photo_says_so(sent: bytes, said: str) -> None:
    """By its content, whatever its name is."""
    with pytest.raises(InputRefused, match=said):
        small_jpeg(sent)


def test_a_photo_is_taken_seen_and_taken_away(cast: Cast, tablet: Client) -> None:
    """The picture goes for good, the line in the history stays."""
    address = f"/job/{cast.job}/photos/"
    sent = SimpleUploadedFile("a.jpg", shot(800, 600), content_type="image/jpeg")
    said = {"key": key(), "about": "check-in", "words": "dent left of the top tube", "photo": sent}
    assert "dent left of the top tube" in tablet.post(f"{address}taken/", said, follow=True).content.decode()
    photo = Photo.objects.get()
    answer = tablet.get(f"{address}jpeg/?which={photo.pk}")
    assert answer["Content-Type"] == "image/jpeg" and answer.content[:2] == b"\xff\xd8"
    tablet.post(f"{address}away/", {"key": key(), "which": photo.pk})
    assert not Photo.objects.exists() and Event.objects.filter(kind="photo taken").exists()
    refused = tablet.post(f"{address}taken/", {"key": key(), "about": "check-in"})
    assert refused.status_code == 422 and "No photo came along" in refused.content.decode()
