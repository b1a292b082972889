"""The files of an export, each read when it is asked for: the photos of years need not lie in memory at once."""

import shutil
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from django.conf import settings

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


class ExportFiles(Mapping[str, bytes]):
    """Every file of an export by its name."""

    def __init__(self, read: Mapping[str, Callable[[], bytes]]) -> None:
        """Keep how each file is read, by its name."""
        self._read = read

    def __getitem__(self, name: str) -> bytes:
        """Read a file."""
        return self._read[name]()

    def __iter__(self) -> Iterator[str]:
        """Give the names."""
        return iter(self._read)

    def __len__(self) -> int:
        """Return how many files there are."""
        return len(self._read)

    def __contains__(self, name: object) -> bool:
        """Whether there is such a file; nothing is read for it."""
        return name in self._read


@contextmanager
def export_files(place: Path) -> Iterator[ExportFiles]:
    """Open a folder or a zip that was written out; what a machine hides is none of it.

    Raises:
        InputRefused: It is neither, it is damaged, or it is larger than what the disk still takes.
    """
    if place.is_dir():
        found = [path for path in sorted(place.rglob("*")) if path.is_file() and path.name[0] != "."]
        yield ExportFiles({path.relative_to(place).as_posix(): path.read_bytes for path in found})
        return
    if not zipfile.is_zipfile(place):
        raise InputRefused(
            worded(
                "{place}: no folder and no zip that pinchbolt export wrote. Name one of both.", place=place
            )
        )
    with zipfile.ZipFile(place) as packed:
        told = [one for one in packed.infolist() if not one.is_dir() and Path(one.filename).name[:1] != "."]
        size, free = sum(one.file_size for one in told), _room()
        if size > free:
            raise InputRefused(
                worded(
                    "{place} holds {size:.1f} GB, and the disk of the home folder has {free:.1f} GB "
                    "free. Make room first.",
                    place=place,
                    size=size / 1000000000.0,
                    free=free / 1000000000.0,
                )
            )
        yield ExportFiles({one.filename: partial(_unpacked, packed, one) for one in told})


def _unpacked(packed: zipfile.ZipFile, one: zipfile.ZipInfo) -> bytes:
    try:
        return packed.read(one)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError):
        raise InputRefused(
            worded(
                "{filename} can't be unpacked: the zip is damaged or locked. Copy the export again.",
                filename=one.filename,
            )
        ) from None


def _room() -> int:
    """Bytes that the disk of the home folder still takes."""
    home = Path(settings.ERASED_LIST).parent
    return shutil.disk_usage(next(one for one in (home, *home.parents) if one.exists())).free
