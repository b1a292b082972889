"""pinchbolt backup: a consistent copy of everything in one file, looked over before it counts."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.cli.open_command import asked_passphrase
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def backup(
    folder: Annotated[
        Path | None, typer.Option(help=worded("Folder for the copy; else 'backups' in the home folder."))
    ] = None,
    with_keys: Annotated[
        bool,
        typer.Option(
            "--with-keys",
            help=worded(
                "From now on copies carry this machine's keys, sealed under a passphrase that is asked."
            ),
        ),
    ] = False,
    without_keys: Annotated[
        bool, typer.Option("--without-keys", help=worded("From now on copies carry no keys any more."))
    ] = False,
    passphrase_file: Annotated[
        Path | None,
        typer.Option(
            "--passphrase-file", help=worded("A file whose first line seals the keys; else it is asked.")
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Copy the workshop into one dated file while work goes on, and open the copy to see that it is whole."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.serving.backup import back_up
    from pinchbolt.serving.sealed_key import seal_keys, sealed_file

    if with_keys:
        seal_keys(asked_passphrase(passphrase_file))
    elif without_keys:
        sealed_file().unlink(missing_ok=True)
    made = back_up(now(), folder)
    told = {
        "file": str(made.file),
        "bytes": made.size,
        "events": made.events,
        "own_tables": made.files,
        "keys": sealed_file().is_file(),
    }
    lines = [
        worded(
            "{file}: {size} bytes, {events} entries, {files} files of the own tables, opened and whole.",
            file=made.file,
            size=figure_text(made.size),
            events=figure_text(made.events),
            files=made.files,
        ),
        worded("To go back to it: stop pinchbolt, then: pinchbolt restore {file} --replace", file=made.file),
    ]
    answer(told, lines, as_json=as_json)
