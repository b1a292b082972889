"""pinchbolt marking: read a marking off a photo, and score the reading on a folder of photos with confirmed values."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded

marking = typer.Typer(
    help=worded("Markings read off photos: one photo, or a folder of your own to score the reading on."),
    no_args_is_help=True,
    rich_markup_mode=None,
)

if TYPE_CHECKING:
    from pinchbolt.workshop.markings.ask_marking import MarkingPhotoView
    from pinchbolt.workshop.markings.score_folder import FolderScore


@marking.command("read")
def read(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help=worded("Photo of the marking: JPEG, PNG or WebP."))
    ],
    kind: Annotated[
        str, typer.Option(help=worded("What is looked for: torque, tyre-size, pressure ..."))
    ] = "torque",
    least: Annotated[
        float | None, typer.Option(help=worded("Least that the place allows, N·m, mm or bar."))
    ] = None,
    greatest: Annotated[float | None, typer.Option(help=worded("Greatest that the place allows."))] = None,
    crops: Annotated[
        Path | None, typer.Option(help=worded("Folder to lay the crop of each candidate in."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what is marked on the part in a photo: sure enough to offer, one of these, or cannot read it."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.markings.ask_marking import MarkingQuestion, marking_view
    from pinchbolt.workshop.markings.read_photo import crop_of

    photo = file.read_bytes()
    found = marking_view(photo, MarkingQuestion(kind, least, greatest))
    told = plain.as_json(found)
    for place, one in enumerate(found.candidates, 1):
        if crops is not None:
            crops.mkdir(parents=True, exist_ok=True)
            lain = crops / f"{file.stem}-{place}.jpg"
            lain.write_bytes(crop_of(photo, one.box))
            told["candidates"][place - 1]["crop"] = str(lain)
    answer(told, _lines(found), as_json=as_json)


@marking.command("score")
def score(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help=worded("Photos, and marked.csv: file,kind,marked,least,greatest.")
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Read every photo of a folder and say how often the reading was right: the shop's own markings become its test."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.markings.score_folder import score_folder

    found = score_folder(folder)
    answer(plain.as_json(found), _score_lines(found), as_json=as_json)


def _lines(found: "MarkingPhotoView") -> Iterator[str]:
    yield f"{found.sureness}. {found.words}"
    for one in found.candidates:
        yield worded("  {words}: printed {printed!r}", words=one.words, printed=one.printed)
        yield from (f"    {words}" for words in one.why)
        yield from (worded("    look: {words}", words=words) for words in one.doubts)


def _score_lines(found: "FolderScore") -> Iterator[str]:
    yield found.words
    for one in found.photos:
        yield worded(
            "  {file}: marked {marked}, {sureness}: {read} ({verdict})",
            file=one.file,
            marked=one.marked or worded("nothing"),
            sureness=one.sureness,
            read=one.read or worded("nothing"),
            verdict=one.verdict,
        )
