"""A photo of a marking through the JSON door: what it may say, and nothing kept."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from pinchbolt.eye import Eye, EyeAway, EyeText
from pinchbolt.records.models import Photo
from tests.api.test_rides import send_files
from tests.story import Story

pytestmark = pytest.mark.django_db


def photo(sent: bytes = b"") -> SimpleUploadedFile:
    """A small photo, or other bytes."""
    into = BytesIO()
    Image.new("RGB", (200, 120), (60, 60, 60)).save(into, "JPEG")
    return SimpleUploadedFile("tyre.jpg", sent or into.getvalue())


def test_a_photo_is_read_and_nothing_kept(
    arrived: Story, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pair of the standard and the size it is sold as bear each other out."""
    seen = tuple(
        EyeText("40-622 (700x40C)", 0.98, (0.2, 0.3, 0.7, 0.5), f"copy {n}", f"cut {n % 3}") for n in range(8)
    )
    monkeypatch.setattr(Eye, "texts", lambda _self, _photo: seen)
    status, told = send_files(client, "/markings/read?kind=tyre-size", "", photo=photo())
    assert (status, told["sureness"]) == (200, "sure enough to offer")
    assert told["candidates"][0]["words"] == "40-622"
    assert Photo.objects.count() == 0


def test_without_the_reader_the_answer_is_to_type(
    arrived: Story, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No fault: cannot read it, and why."""

    def gone(_self: Eye, _photo: bytes) -> tuple[()]:
        raise EyeAway("The text reader is not installed here.")

    monkeypatch.setattr(Eye, "texts", gone)
    status, told = send_files(client, "/markings/read?kind=torque&greatest=12", "", photo=photo())
    assert (status, told["sureness"], told["candidates"]) == (200, "cannot read it", [])
    assert "Type it" in told["words"]


@pytest.mark.parametrize(
    ("asked", "sent", "said"),
    [
        ("kind=colour", b"", "Choose one"),
        ("kind=torque&greatest=900", b"", "is possible"),
        ("kind=torque&greatest=nan", b"", ""),
        ("kind=torque", b"%PDF-1.7", "no photo"),
    ],
)
def test_what_is_wrong_is_refused(arrived: Story, client: Client, asked: str, sent: bytes, said: str) -> None:
    """Kind, bounds, photo."""
    status, told = send_files(client, f"/markings/read?{asked}", "", photo=photo(sent))
    assert status == 422
    assert said in told["error"]
