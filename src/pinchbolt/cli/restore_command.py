"""pinchbolt restore: back to a copy, after saying what that would lose."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.cli.open_command import asked_passphrase


def restore(
    file: Annotated[Path, typer.Argument(help="A copy that pinchbolt backup made.")],
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Put it in the place of the records; those of now are set aside."),
    ] = False,
    with_keys: Annotated[
        bool,
        typer.Option(
            "--with-keys", help="Bring the keys back too, so that tablets go on trusting this machine."
        ),
    ] = False,
    passphrase_file: Annotated[
        Path | None,
        typer.Option("--passphrase-file", help="A file whose first line opens the keys; else it is asked."),
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
        f"{seen.file}: {seen.workshop or 'no workshop'}, {seen.events:,} entries, the last of {seen.newest or 'no day'}, "
        f"{seen.files} files of the workshop's own tables. Opened and whole.",
        f"Here are {seen.lost:,} entries that are not in it."
        if seen.lost
        else "Everything that is here is in it.",
    ]
    if not replace:
        lines.append(
            "Nothing was changed. To go back to it, stop pinchbolt, then: pinchbolt restore FILE --replace"
        )
        answer(told, lines, as_json=as_json)
        return
    keys = keys_in(file, asked_passphrase(passphrase_file)) if with_keys else None
    done = bring_back(file, now(), keys)
    told["set_aside"] = str(done.set_aside or "")
    lines.append(
        f"Brought back. The records of before lie in {done.set_aside}." if done.set_aside else "Brought back."
    )
    answer(told, lines, as_json=as_json)
