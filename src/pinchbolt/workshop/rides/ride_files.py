"""Ride files where they lie: one file, a folder, a zip of thousands. One at a time in memory; bombs and riddles are refused."""

import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import IO

from pinchbolt.engines.rides import RideFile, read_ride_file
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

MOST_FILE = 128_000_000
MOST_FILES = 50_000
MOST_TOGETHER = 16 * 1024**3
MOST_RATIO = 200
_SMALL = 1024 * 1024
_RIDES = (".fit", ".gpx", ".tcx")
_TABLES = (".csv", ".tsv", ".txt")
_STEP = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Held:
    """One file found: its name and bytes, or the sentence that says why it was not taken out."""

    name: str
    data: bytes = b""
    refused: str = ""


@dataclass(frozen=True, slots=True)
class FileRead:
    """One file as read: its rides, or the sentence that says why nothing of it can be used."""

    name: str
    read: RideFile | None
    refused: str = ""


def files_at(path: Path) -> Iterator[Held]:
    """Return the ride files at a place on this machine, one at a time.

    Raises:
        NotFound: Nothing lies there.
        InputRefused: An archive that is hostile or can't be opened.
        NotPossibleNow: It can't be read here.
    """
    if path.is_dir():
        yield from _in_folder(path)
        return
    if not path.is_file():
        raise NotFound(
            worded(
                "{path} is not there: a ride file, a folder or a zip is needed. Look at the name again.",
                path=path,
            )
        )
    try:
        with path.open("rb") as opened:
            yield from files_in(path.name, opened, alone=True)
    except PermissionError:
        raise NotPossibleNow(
            worded(
                "{path} can't be read here. Give pinchbolt the right to read it, then try again.", path=path
            )
        ) from None


def how_many(path: Path) -> int | None:
    """Return how many ride files lie at a place, as far as its names tell; None where that is not known beforehand."""
    try:
        if path.is_dir():
            return sum(one.is_file() and _is_wanted(one.name) for one in path.rglob("*"))
        if zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as archive:
                return sum(_is_wanted(one.filename) for one in archive.infolist())
    except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError, UnicodeError):
        # Whatever is wrong is said when it is read.
        return None
    return None


def files_in(name: str, opened: IO[bytes], *, alone: bool) -> Iterator[Held]:
    """Return the ride files in one opened file: itself, or what a zip of them holds.

    Args:
        name: What it is called. [-]
        opened: Its bytes, from which can be read anywhere. [byte]
        alone: Whether it was named by itself: then it is read even if its name tells no ride. [-]

    Raises:
        InputRefused: A zip that is hostile or can't be opened.
    """
    head = opened.read(4)
    opened.seek(0)
    if head[:2] == b"PK":
        yield from _in_zip(name, opened, depth=0)
        return
    if not alone and not _is_wanted(name):
        return
    data = opened.read(MOST_FILE + 1)
    if len(data) > MOST_FILE:
        yield Held(name, refused=_too_large(name))
    elif head[:2] == b"\x1f\x8b":
        yield _unpacked(name, data)
    else:
        yield Held(name, data)


def files_sent(sent: Iterable[tuple[str, IO[bytes], bool]]) -> Iterator[Held]:
    """Return the ride files among files that were sent: each with its name, its bytes, and whether it was chosen by itself.

    A zip that can't be opened is refused by name, as any other file.
    """
    for name, opened, alone in sent:
        try:
            yield from files_in(name, opened, alone=alone)
        except InputRefused as refusal:
            yield Held(name, refused=refusal.sentence)


def read_files(held: Iterable[Held], columns: Mapping[str, str] | None = None) -> Iterator[FileRead]:
    """Return each file as read; what can't be read keeps its sentence, and nothing of it is used."""
    for one in held:
        if one.refused:
            yield FileRead(one.name, None, one.refused)
            continue
        try:
            yield FileRead(one.name, read_ride_file(one.name, one.data, columns))
        except InputRefused as refusal:
            yield FileRead(one.name, None, refusal.sentence)


def _is_wanted(name: str) -> bool:
    """Whether a file among others is one for us, by its name; tables among others are lists of the same rides."""
    plain = name.lower().removesuffix(".gz")
    return plain.endswith((*_RIDES, ".zip")) and not Path(name).name.startswith(".")


def _in_folder(folder: Path) -> Iterator[Held]:
    """Files of a folder and below, in the order of their names; links out of it are not followed."""
    many = 0
    for path in sorted(folder.rglob("*")):
        if path.is_symlink() or not path.is_file() or not _is_wanted(path.name):
            continue
        many += 1
        if many > MOST_FILES:
            raise InputRefused(
                worded(
                    "{folder} holds more than {most_files} files: {most_files} are allowed. Choose a "
                    "part of it.",
                    folder=folder,
                    most_files=figure_text(MOST_FILES),
                )
            )
        name = path.relative_to(folder).as_posix()
        try:
            with path.open("rb") as opened:
                yield from files_in(name, opened, alone=False)
        except (OSError, InputRefused) as error:
            sentence = (
                error.sentence
                if isinstance(error, InputRefused)
                else worded("{name} can't be read here; it was left out.", name=name)
            )
            yield Held(name, refused=sentence)


def _in_zip(name: str, opened: IO[bytes], depth: int) -> Iterator[Held]:
    try:
        archive = zipfile.ZipFile(opened)
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError, UnicodeError):
        raise InputRefused(
            worded(
                "{name} is no zip that can be opened, perhaps cut short: nothing of it was read. "
                "Fetch it again.",
                name=name,
            )
        ) from None
    members = [one for one in archive.infolist() if not one.is_dir() and _is_wanted(one.filename)]
    _refuse_bomb(name, members)
    for member in members:
        yield from _member(name, archive, member, depth)


def _refuse_bomb(name: str, members: list[zipfile.ZipInfo]) -> None:
    """Refuse an archive whose list of contents alone shows that it was made to fill a machine."""
    if len(members) > MOST_FILES:
        raise InputRefused(
            worded(
                "{name} holds {members} files: {most_files} are allowed. Send it in parts.",
                name=name,
                members=figure_text(len(members)),
                most_files=figure_text(MOST_FILES),
            )
        )
    together = sum(one.file_size for one in members)
    if together > MOST_TOGETHER:
        raise InputRefused(
            worded(
                "{name} would unpack to {together} GB: {most_together} GB are allowed. Send it in parts.",
                name=name,
                together=figure_text(together / 1024**3, 0),
                most_together=figure_text(MOST_TOGETHER / 1024**3, 0),
            )
        )
    packed = sum(one.compress_size for one in members)
    if together > _SMALL and together > MOST_RATIO * max(packed, 1):
        raise InputRefused(
            worded(
                "{name} would unpack to {together} times its size: ride files pack to a tenth, so "
                "nothing of it was read. Send the files themselves.",
                name=name,
                together=figure_text(together / max(packed, 1), 0),
            )
        )


def _member(name: str, archive: zipfile.ZipFile, member: zipfile.ZipInfo, depth: int) -> Iterator[Held]:
    inner = f"{name}/{member.filename[-200:]}"
    if member.file_size > MOST_FILE:
        yield Held(inner, refused=_too_large(inner))
        return
    if member.flag_bits & 0x1:
        yield Held(
            inner,
            refused=worded(
                "{inner} is locked by a pass phrase: nothing of it was read. Unlock it first.", inner=inner
            ),
        )
        return
    try:
        with archive.open(member) as opened:
            data = opened.read(MOST_FILE + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError):
        yield Held(
            inner,
            refused=worded(
                "{inner} is damaged inside the zip: nothing of it was read. Fetch it again.", inner=inner
            ),
        )
        return
    if len(data) > MOST_FILE:
        yield Held(inner, refused=_too_large(inner))
    elif data[:2] == b"\x1f\x8b":
        yield _unpacked(inner, data)
    elif data[:4] == b"PK\x03\x04":
        if depth:
            yield Held(
                inner,
                refused=worded(
                    "{inner} is a zip in a zip in a zip: one zip in another is read. Unpack it first.",
                    inner=inner,
                ),
            )
            return
        try:
            yield from _in_zip(inner, BytesIO(data), depth + 1)
        except InputRefused as refusal:
            yield Held(inner, refused=refusal.sentence)
    else:
        yield Held(inner, data)


def _unpacked(name: str, packed: bytes) -> Held:
    """What a .gz holds, up to what a ride file may have; a cut one keeps what was there."""
    plain = name.removesuffix(".gz")
    most = min(MOST_FILE, max(MOST_RATIO * len(packed), _SMALL))
    worker = zlib.decompressobj(wbits=31)
    try:
        data = worker.decompress(packed, most + 1)
    except zlib.error:
        return Held(
            plain, refused=worded("{name} is damaged: it can't be unpacked. Fetch it again.", name=name)
        )
    if len(data) > most:
        return Held(
            plain,
            refused=worded(
                "{name} would unpack to more than {most} MB: no ride does. Choose the activity file.",
                name=name,
                most=figure_text(most / 1000000.0, 0),
            ),
        )
    return Held(plain, data)


def _too_large(name: str) -> str:
    return worded(
        "{name} has more than {most_file} MB: no ride file has. Choose the activity file.",
        name=name,
        most_file=figure_text(MOST_FILE / 1000000.0, 0),
    )
