"""A workshop's own photos as the test of the reading: what a hand confirmed stands beside each in marked.csv."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from pinchbolt.engines.markings import Sureness, same_marking, typed_marking
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.eye import Eye, EyeAway, installed
from pinchbolt.values.wording import worded
from pinchbolt.workshop.markings.ask_marking import MarkingQuestion, kind_named, place_of
from pinchbolt.workshop.markings.read_photo import MOST_BYTES, read_photo

LIST = "marked.csv"
COLUMNS = ("file", "kind", "marked", "least", "greatest")
MOST_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class PhotoScored:
    """One photo: what a hand confirmed ("" for no marking), what was read first, and how that was."""

    file: str
    kind: str
    marked: str
    sureness: str
    read: str
    verdict: str


@dataclass(frozen=True, slots=True)
class FolderScore:
    """All photos of a folder: how often right, wrong, among the first three, and offered where nothing is marked."""

    photos: tuple[PhotoScored, ...]
    sure: int
    sure_wrong: int
    among: int
    marked: int
    empty: int
    empty_offered: int
    words: str


def score_folder(folder: Path) -> FolderScore:
    """Return how well the photos of a folder are read; nothing is kept.

    Raises:
        InputRefused: No marked.csv there, a column or a photo that is missing, or a value that is no marking: with its line.
        NotPossibleNow: The text reader is not installed here, or stopped.
    """
    rows = list(_rows(folder))
    if not installed():
        raise NotPossibleNow(
            worded(
                "The text reader is not installed here, so nothing can be scored. Install it with "
                "the extra: pip install 'pinchbolt[markings]'"
            )
        )
    with Eye() as eye:
        try:
            return _summed(tuple(_scored(folder, row, line, eye) for line, row in rows))
        except EyeAway as away:
            raise NotPossibleNow(
                worded("{sentence} Nothing was scored. Try again.", sentence=away.sentence)
            ) from away


def _rows(folder: Path) -> Iterator[tuple[int, dict[str, str]]]:
    path = folder / LIST
    if not path.is_file():
        sentence = worded(
            "{name} holds no {list}: a line a photo, {columns}. Write it, then try again.",
            name=folder.name,
            list=LIST,
            columns=",".join(COLUMNS),
        )
        raise InputRefused(sentence, {"folder": sentence})
    with path.open(newline="", encoding="utf-8-sig") as opened:
        reader = csv.DictReader(opened)
        missing = [name for name in COLUMNS[:3] if name not in (reader.fieldnames or ())]
        if missing:
            _refuse(
                1,
                worded(
                    "no column {missing}: {columns} are wanted",
                    missing=worded(" and no column ").join(missing),
                    columns=",".join(COLUMNS),
                ),
            )
        for line, row in enumerate(reader, 2):
            if line > MOST_ROWS:
                _refuse(
                    line,
                    worded("more than {most_rows} photos. Score them in two folders", most_rows=MOST_ROWS),
                )
            yield line, {name: (row.get(name) or "").strip() for name in COLUMNS}


def _scored(folder: Path, row: dict[str, str], line: int, eye: Eye) -> PhotoScored:
    path = folder / row["file"]
    # A list from elsewhere names files of its own folder, no others.
    if Path(row["file"]).name != row["file"] or not path.is_file():
        _refuse(line, worded("there is no photo {row!r} in the folder", row=row["file"][:60]))
    if path.stat().st_size > MOST_BYTES:
        _refuse(line, worded("{row} is larger than any photo", row=row["file"]))
    try:
        kind = kind_named(row["kind"])
        place = place_of(kind, MarkingQuestion(row["kind"], _figure(row["least"]), _figure(row["greatest"])))
        truth = typed_marking(kind, row["marked"], place) if row["marked"] else None
    except InputRefused as refused:
        _refuse(line, refused.sentence)
    except ValueError:
        _refuse(line, worded("least and greatest are figures"))
    found = read_photo(path.read_bytes(), kind, place, eye)
    hits = [truth is not None and same_marking(one, truth) for one in found.candidates]
    if truth is None:
        verdict = worded("wrong: nothing is marked") if found.candidates else "right"
    elif any(hits):
        verdict = "right" if hits[0] else "among them"
    else:
        verdict = "wrong" if found.sureness is Sureness.SURE else worded("not read")
    first = found.candidates[0].words if found.candidates else ""
    return PhotoScored(row["file"], row["kind"], row["marked"], found.sureness.value, first, verdict)


def _summed(photos: tuple[PhotoScored, ...]) -> FolderScore:
    marked = [one for one in photos if one.marked]
    empty = [one for one in photos if not one.marked]
    sure = [one for one in photos if one.sureness == Sureness.SURE]
    wrong = sum(one.verdict != "right" for one in sure)
    among = sum(one.verdict in ("right", "among them") for one in marked)
    offered = sum(one.verdict != "right" for one in empty)
    words = worded(
        "{photos} photos: sure enough to offer {sure}, of those wrong {wrong}; right or "
        "among the first three {among} of {marked}; something offered on {offered} of "
        "{empty} without a marking.",
        photos=len(photos),
        sure=len(sure),
        wrong=wrong,
        among=among,
        marked=len(marked),
        offered=offered,
        empty=len(empty),
    )
    return FolderScore(photos, len(sure), wrong, among, len(marked), len(empty), offered, words)


def _figure(text: str) -> float | None:
    return float(text.replace(",", ".")) if text else None


def _refuse(line: int, what: str) -> NoReturn:
    sentence = worded(
        "{list}, line {line}: {what}. Correct the line, then try again.",
        list=LIST,
        line=line,
        what=what.rstrip("."),
    )
    raise InputRefused(sentence, {LIST: sentence})
