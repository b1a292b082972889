"""Zips and folders of ride files: read one at a time, and those made to do harm refused."""

import gzip
import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.rides.ride_files import Held, files_at, files_in, read_files
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from tests.story import NOW, Story
from tests.workshop.ride_story import ride_of


def test_a_zip_is_read_file_by_file_and_a_zip_in_a_zip_too(arrived: Story) -> None:
    """An account's export: folders, photos and one zip inside; rides come in, the rest is not looked at."""
    inner = BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep/b.fit", ride_of(3))
    outer = BytesIO()
    with zipfile.ZipFile(outer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("activities/a.fit", ride_of(0))
        archive.writestr("photos/a.jpg", b"\xff\xd8")
        archive.writestr("activities.csv", "a list of the same rides")
        archive.writestr("more.zip", inner.getvalue())
    outer.seek(0)
    seen = list(read_files(files_in("export.zip", outer, alone=True)))
    assert [one.name for one in seen] == ["export.zip/activities/a.fit", "export.zip/more.zip/deep/b.fit"]
    asked = RidesRequest(arrived.tag, digest_of(seen))
    assert take_in_rides(asked, seen, by=arrived.first, key=arrived.key(), now=NOW).came_in == 2


def test_a_zip_that_would_fill_the_machine_is_refused_unread() -> None:
    """30 MB of nothing in 30 kB: the list of contents alone shows it."""
    bomb = BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(3):
            archive.writestr(f"{number}.gpx", b"\0" * 10_000_000)
    bomb.seek(0)
    with pytest.raises(
        InputRefused, match=r"^a.zip would unpack to [\d,]+ times its size: ride files pack to a tenth"
    ):
        list(files_in("a.zip", bomb, alone=True))


def test_a_zip_whose_list_lies_is_stopped_while_unpacking() -> None:
    """The list says 100 bytes, the file holds 200 MB: what comes out is bounded and the file refused by name."""
    bomb = BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.gpx", b"\0" * 20_000_000)
    told = bytearray(bomb.getvalue())
    size = (20_000_000).to_bytes(4, "little")
    while size in told:
        at = told.index(size)
        told[at : at + 4] = (100).to_bytes(4, "little")
    (held,) = files_in("a.zip", BytesIO(bytes(told)), alone=True)
    assert held.refused == "a.zip/a.gpx is damaged inside the zip: nothing of it was read. Fetch it again."


def test_a_broken_zip_is_refused_whole() -> None:
    """Cut in the middle its list of contents is gone."""
    whole = BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        archive.writestr("a.fit", ride_of(0))
    with pytest.raises(InputRefused, match=r"^a.zip is no zip that can be opened, perhaps cut short"):
        list(files_in("a.zip", BytesIO(whole.getvalue()[:-40]), alone=True))


def test_a_folder_is_read_with_what_lies_below_it_and_links_out_of_it_are_not_followed(
    tmp_path: Path,
) -> None:
    """Packed and plain, in the order of their names; photos, hidden files and links are not looked at."""
    (tmp_path / "2026").mkdir()
    (tmp_path / "2026" / "b.fit.gz").write_bytes(gzip.compress(ride_of(3)))
    (tmp_path / "a.FIT").write_bytes(ride_of(0))
    (tmp_path / "c.jpg").write_bytes(b"x")
    (tmp_path / ".d.fit").write_bytes(ride_of(1))
    (tmp_path / "e.fit").symlink_to(tmp_path / "a.FIT")
    assert [one.name for one in files_at(tmp_path)] == ["2026/b.fit", "a.FIT"]
    assert all(one.read is not None for one in read_files(files_at(tmp_path)))


def test_a_packed_file_that_would_fill_the_machine_is_refused_by_name(tmp_path: Path) -> None:
    """30 MB of nothing in 30 kB; and a packed file that is cut keeps what was there."""
    (tmp_path / "bomb.gpx.gz").write_bytes(gzip.compress(b"\0" * 30_000_000))
    (held,) = files_at(tmp_path / "bomb.gpx.gz")
    assert held.refused.startswith("bomb.gpx.gz would unpack to more than ")
    (tmp_path / "cut.fit.gz").write_bytes(gzip.compress(ride_of(0))[:-12])
    assert next(iter(files_at(tmp_path / "cut.fit.gz"))).refused == ""


def test_a_zip_in_a_zip_in_a_zip_and_a_locked_one_are_refused_by_name() -> None:
    """One level is read; deeper nesting and pass phrases are said."""
    deep = ride_of(0)
    for name in ("a.fit", "b.zip", "c.zip"):
        held = BytesIO()
        with zipfile.ZipFile(held, "w") as archive:
            archive.writestr(name, deep)
        deep = held.getvalue()
    (one,) = files_in("top.zip", BytesIO(deep), alone=True)
    assert one.refused.startswith(
        "top.zip/c.zip/b.zip is a zip in a zip in a zip: one zip in another is read"
    )
    locked = BytesIO()
    with zipfile.ZipFile(locked, "w") as archive:
        archive.writestr("a.fit", b"x")
    told = bytearray(locked.getvalue())
    for mark in (b"PK\x03\x04", b"PK\x01\x02"):
        at = told.index(mark) + (6 if mark[2] == 3 else 8)
        told[at] |= 1
    (one,) = files_in("a.zip", BytesIO(bytes(told)), alone=True)
    assert one == Held(
        "a.zip/a.fit",
        refused="a.zip/a.fit is locked by a pass phrase: nothing of it was read. Unlock it first.",
    )
