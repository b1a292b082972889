"""pinchbolt backup: a consistent copy of everything in one file, looked over before it counts."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer


def backup(
    folder: Annotated[
        Path | None, typer.Option(help="Folder for the copy; else 'backups' in the home folder.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Copy the workshop into one dated file while work goes on, and open the copy to see that it is whole."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.serving.backup import back_up

    made = back_up(now(), folder)
    told = {"file": str(made.file), "bytes": made.size, "events": made.events, "own_tables": made.files}
    lines = [
        f"{made.file}: {made.size:,} bytes, {made.events:,} entries, {made.files} files of the own tables, opened and whole.",
        f"To go back to it: stop pinchbolt, then: pinchbolt restore {made.file} --replace",
    ]
    answer(told, lines, as_json=as_json)
