"""Markings from the command line: one photo, and a folder of the shop's own."""

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from pinchbolt.eye import Eye, EyeText
from tests.cli.conftest import Run


@pytest.fixture
def photo(tmp_path: Path) -> str:
    """A photo; what is on it is what the eye says."""
    into = BytesIO()
    Image.new("RGB", (200, 120), (60, 60, 60)).save(into, "JPEG")
    file = tmp_path / "stem.jpg"
    file.write_bytes(into.getvalue())
    return str(file)


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight copies of three cuts: 5 N·m at most."""
    seen = tuple(
        EyeText("MAX 5 N-m", 0.98, (0.2, 0.3, 0.7, 0.5), f"copy {n}", f"cut {n % 3}") for n in range(8)
    )
    monkeypatch.setattr(Eye, "texts", lambda _self, _photo: seen)


@pytest.mark.usefixtures("says")
def test_a_photo_is_read_in_words_and_as_json_with_its_crop(run: Run, photo: str, tmp_path: Path) -> None:
    """Candidate, why, and the crop where it was asked for."""
    ran = run("marking", "read", photo, "--kind", "torque", "--least", "2", "--greatest", "12")
    assert ran.code == 0
    assert ran.out.startswith("sure enough to offer. Read: MAX 5 N·m.")
    assert "8 copies of the photo show it" in ran.out
    ran = run("marking", "read", photo, "--greatest", "12", "--crops", str(tmp_path / "crops"), "--json")
    told = ran.json
    assert (ran.code, told["sureness"], told["kind"]) == (0, "sure enough to offer", "torque")
    (one,) = told["candidates"]
    assert one["figures"] == [{"name": "greatest", "value": 5.0, "unit": "N·m", "words": "5 N·m"}]
    assert Image.open(one["crop"]).width > 50


def test_a_kind_that_is_none_is_refused(run: Run, photo: str) -> None:
    """With the kinds there are."""
    ran = run("marking", "read", photo, "--kind", "colour")
    assert ran.code == 2
    assert "torque, rotor-limit" in ran.err and "Choose one." in ran.err


@pytest.mark.usefixtures("says")
def test_a_folder_is_scored(run: Run, photo: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """One right, one confirmed as another."""
    monkeypatch.setattr("pinchbolt.workshop.markings.score_folder.installed", lambda: True)
    folder = Path(photo).parent
    (folder / "marked.csv").write_text(
        "file,kind,marked,least,greatest\nstem.jpg,torque,max 5 Nm,2,12\nstem.jpg,torque,6 Nm,2,12\n"
    )
    ran = run("marking", "score", str(folder), "--json")
    told = ran.json
    assert (ran.code, told["sure"], told["sure_wrong"]) == (0, 2, 1)
    assert [one["verdict"] for one in told["photos"]] == ["right", "wrong"]
    said = run("marking", "score", str(folder)).out
    assert "of those wrong 1" in said and "marked 6 Nm, sure enough to offer: MAX 5 N·m (wrong)" in said
