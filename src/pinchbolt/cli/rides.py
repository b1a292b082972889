"""pinchbolt rides: one ride file read, or files, folders and zips taken in for a bike."""

from pathlib import Path
from typing import Annotated, Any

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused

rides = typer.Typer(
    help="Ride files: read one, or take them in for a bike.", no_args_is_help=True, rich_markup_mode=None
)

Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--map",
        help="For a CSV: a column of ours and the file's name for it, such as start=Date; repeatable.",
    ),
]


@rides.command("read")
def read(
    file: Annotated[Path, typer.Argument(help="Ride file: FIT, GPX, TCX or CSV, also packed as .gz.")],
    columns: Columns = None,
    as_json: AsJson = False,
) -> None:
    """Say what one ride file holds: start, distance, times, climb, indoors, device, and what was damaged."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.read_rides import file_told, read_one

    told = file_told(read_one(file, mapped(columns)))
    answer(told, _lines(told), as_json=as_json)


def mapped(columns: list[str] | None) -> dict[str, str]:
    """Return ours=theirs pairs as a mapping.

    Raises:
        InputRefused: A pair without an equals sign.
    """
    pairs = {}
    for pair in columns or []:
        ours, sign, theirs = pair.partition("=")
        if not sign or not ours.strip() or not theirs.strip():
            sentence = f'A column is given as "{pair[:40]}": ours=theirs is needed, such as start=Date. Type it again.'
            raise InputRefused(sentence, {"map": sentence})
        pairs[ours.strip()] = theirs.strip()
    return pairs


def _lines(told: dict[str, Any]) -> list[str]:
    lines = [
        f"{told['name']}: {told['form']}, {len(told['rides'])} ride{'s' if len(told['rides']) != 1 else ''}"
    ]
    for ride in told["rides"]:
        climb = f", {ride['ascent_m']:,.0f} m up" if ride["ascent_m"] is not None else ""
        where = ", indoors" if ride["indoor"] else ""
        sport = f", {ride['sport']}" if ride["sport"] else ""
        by = f", by {ride['device']}" if ride["device"] else ""
        lines.append(
            f"  {ride['start'] or 'day not known'}: {ride['distance_m'] / 1000:,.2f} km ({ride['distance_from']}), "
            f"{ride['moving_s'] / 60:,.0f} of {ride['elapsed_s'] / 60:,.0f} min{climb}{where}{sport}{by}"
        )
    return [*lines, *(f"damaged: {words}" for words in told["damaged"])]
