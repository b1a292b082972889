"""pinchbolt export and import: everything out as open files, and in again; pinchbolt list: owners and bikes from elsewhere."""

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt import __version__
from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.cli.open_command import asked_passphrase
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.keeping.list_read import ListFile
    from pinchbolt.workshop.keeping.list_take import ListRequest

Place = Annotated[
    Path, typer.Argument(metavar="PLACE", help=worded("A folder, or a file that ends in .zip."))
]
lists = typer.Typer(
    help=worded(
        "Owners and bikes from a CSV of somewhere else: read says what would come in, take "
        "takes it in, back takes it back."
    ),
    no_args_is_help=True,
    rich_markup_mode=None,
)


def write_everything(place: Place, as_json: AsJson = False) -> None:
    """Write everything as open files: CSV, JSON, schemas, papers; nothing is overwritten."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.keeping.write_out import write_out

    done = write_out(place, now(), __version__)
    lines = [
        worded(
            "{place}: everything, {rows} rows. README.txt in it says what is what.",
            place=done.place,
            rows=figure_text(done.rows),
        ),
        worded(
            "It holds what owners said: keep it as you keep a backup. Read it back into an empty "
            "workshop with: pinchbolt import"
        ),
    ]
    answer(plain(done), lines, as_json=as_json)


def bring_everything(
    place: Place,
    only_try: Annotated[
        bool, typer.Option("--try", help=worded("Look at every cell and stop there."))
    ] = False,
    changed: Annotated[
        bool,
        typer.Option(
            "--changed", help=worded("Take files that were changed on purpose, if every cell is sound.")
        ),
    ] = False,
    passphrase_file: Annotated[
        Path | None,
        typer.Option(
            "--passphrase-file",
            help=worded("A file whose first line is the new passphrase; else it is asked."),
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Bring everything that export wrote into an empty workshop: all of it or nothing."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.migrating import migrate
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.keeping.bring_in import bring_in, look_at_export

    if not place.exists():
        raise InputRefused(
            worded("{place}: there is no such folder or file. Name what pinchbolt export wrote.", place=place)
        )
    seen = look_at_export(place, changed=changed)
    if only_try:
        answer(
            plain(seen),
            [
                worded(
                    "{workshop}: {rows} rows in {files} files, of {made_on}, {made_by}. Sound.",
                    workshop=seen.workshop,
                    rows=figure_text(seen.rows),
                    files=seen.files,
                    made_on=seen.made_on,
                    made_by=seen.made_by,
                )
            ],
            as_json=as_json,
        )
        return
    migrate()
    done = bring_in(place, asked_passphrase(passphrase_file), now(), changed=changed)
    lines = [
        worded(
            "{workshop} is here: {rows} rows, of {made_on}. {first_owner} signs in with the new passphrase.",
            workshop=done.workshop,
            rows=figure_text(done.rows),
            made_on=done.made_on,
            first_owner=done.first_owner,
        )
    ]
    lines += [worded("The others get theirs on the page of people.")]
    lines += (
        [worded("{erased_again} owners who were erased were erased again.", erased_again=done.erased_again)]
        if done.erased_again
        else []
    )
    answer(plain(done), lines, as_json=as_json)


@lists.command("read")
def read(
    file: Annotated[Path, typer.Argument(help=worded("CSV of owners and bikes."))],
    columns: Annotated[
        Path | None, typer.Option("--map", help=worded("TOML: where each column goes; else guessed."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say where each column would go, and what would come in."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.keeping.list_columns import FIELDS
    from pinchbolt.workshop.keeping.list_read import read_list
    from pinchbolt.workshop.keeping.list_take import try_list

    found = read_list(file.read_bytes())
    request = _request(found, columns, without=False)
    seen = try_list(found, request)
    lines = [
        worded(
            "{name}: {rows} rows, {separator}, {encoding}",
            name=file.name,
            rows=figure_text(len(found.rows)),
            separator=found.separator,
            encoding=found.encoding,
        )
    ]
    for one in found.guessed:
        goes = FIELDS.get(request.columns.get(one.name, ""), f"left out{f': {one.why}' if one.why else ''}")
        lines.append(
            f"  {one.name}: {goes}{(worded('  (please look at this one)') if one.look and (not columns) else '')}"
        )
    lines += [
        seen.words,
        *(worded("  line {line}: {why}", line=line, why=why) for line, why in seen.stopped[:20]),
    ]
    told = {"digest": found.digest, "columns": dict(request.columns), "would": plain(seen)}
    answer(told, lines, as_json=as_json)


@lists.command("take")
def take(
    file: Annotated[Path, typer.Argument(help=worded("CSV of owners and bikes."))],
    columns: Annotated[
        Path | None, typer.Option("--map", help=worded("TOML: where each column goes; else guessed."))
    ] = None,
    without_stopped: Annotated[
        bool, typer.Option("--without-stopped", help=worded("Leave out the rows that stop."))
    ] = False,
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take a list in, all of it or nothing."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.keeping.list_read import read_list
    from pinchbolt.workshop.keeping.list_take import take_list

    found = read_list(file.read_bytes())
    request = _request(found, columns, without=without_stopped)
    done = take_list(found, request, by=who(by), key=mark(key), now=now())
    lines = [done.words, worded("To take it back: pinchbolt list back {event}", event=done.event)]
    answer(plain(done), lines, as_json=as_json)


@lists.command("back")
def back(
    event: Annotated[int, typer.Argument(help=worded("The number that take said."))],
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take a list back, as far as nobody has used it since."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.keeping.list_take import ListBackRequest, take_list_back

    done = take_list_back(ListBackRequest(event), by=who(by), key=mark(key), now=now())
    stays = (
        worded(
            " {stays} bikes have been used since and stay: {done_stays}.",
            stays=figure_text(len(done.stays)),
            done_stays=", ".join(done.stays[:20]),
        )
        if done.stays
        else ""
    )
    answer(
        plain(done),
        [
            worded(
                "{owners} owners and {bikes} bikes were taken back.{stays}",
                owners=figure_text(done.owners),
                bikes=figure_text(done.bikes),
                stays=stays,
            )
        ],
        as_json=as_json,
    )


def _request(found: "ListFile", file: Path | None, *, without: bool) -> "ListRequest":
    """Where each column goes: by the file given, else as the last list with this header, else as guessed."""
    from pinchbolt.workshop.keeping.list_take import ListRequest, columns_before

    told = _map(file) if file is not None else {}
    given = told.get("columns", {})
    columns = (
        {str(name): str(goes) for name, goes in given.items()}
        if isinstance(given, dict) and given
        else columns_before(found) or {one.name: one.goes_to for one in found.guessed}
    )
    return ListRequest(
        found.digest, columns, str(told.get("rest_kind", "")), str(told.get("days", "")), without
    )


def _map(file: Path) -> dict[str, object]:
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as bad:
        raise NotPossibleNow(
            worded("{file} can't be read: {bad}. Correct it, or leave --map out.", file=file, bad=bad)
        ) from None
