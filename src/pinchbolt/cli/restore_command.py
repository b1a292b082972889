"""pinchbolt restore: back to a copy, after saying what that would lose."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.cli.open_command import asked_passphrase
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def restore(
    file: Annotated[Path, typer.Argument(help=worded("A copy that pinchbolt backup made."))],
    replace: Annotated[
        bool,
        typer.Option(
            "--replace", help=worded("Put it in the place of the records; those of now are set aside.")
        ),
    ] = False,
    with_keys: Annotated[
        bool,
        typer.Option(
            "--with-keys",
            help=worded("Bring the keys back too, so that tablets go on trusting this machine."),
        ),
    ] = False,
    passphrase_file: Annotated[
        Path | None,
        typer.Option(
            "--passphrase-file", help=worded("A file whose first line opens the keys; else it is asked.")
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what is in a copy and what going back to it would lose; with --replace go back to it."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.restore import keys_in, look_at_copy
    from pinchbolt.serving.restore import restore as bring_back

    seen = look_at_copy(file)
    told: dict[str, object] = {
        "file": str(seen.file),
        "workshop": seen.workshop,
        "events": seen.events,
        "newest": seen.newest,
        "own_tables": seen.files,
        "lost": seen.lost,
        "done": replace,
    }
    lines = [
        worded(
            "{file}: {workshop}, {events} entries, the last of {newest}, {files} files of the "
            "workshop's own tables. Opened and whole.",
            file=seen.file,
            workshop=seen.workshop or worded("no workshop"),
            events=figure_text(seen.events),
            newest=seen.newest or worded("no day"),
            files=seen.files,
        ),
        worded("Here are {lost} entries that are not in it.", lost=figure_text(seen.lost))
        if seen.lost
        else worded("Everything that is here is in it."),
    ]
    if not replace:
        lines.append(
            worded(
                "Nothing was changed. To go back to it, stop pinchbolt, then: pinchbolt restore FILE "
                "--replace"
            )
        )
        answer(told, lines, as_json=as_json)
        return
    keys = keys_in(file, asked_passphrase(passphrase_file)) if with_keys else None
    done = bring_back(file, now(), keys)
    told["set_aside"] = str(done.set_aside or "")
    lines.append(
        worded("Brought back. The records of before lie in {set_aside}.", set_aside=done.set_aside)
        if done.set_aside
        else worded("Brought back.")
    )
    answer(told, lines, as_json=as_json)
