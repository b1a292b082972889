"""pinchbolt rides: one ride file read, or files, folders and zips taken in for a bike."""

import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli._rides_told import likely, part_lines, progress, read_lines, taken_lines
from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.rides.ride_files import FileRead

rides = typer.Typer(
    help=worded("Ride files: read one, or take them in for a bike."),
    no_args_is_help=True,
    rich_markup_mode=None,
)

_ASKS = {
    "which bike": worded("which bike?"),
    "riding": worded("was it riding?"),
    "one ride": worded("one ride, told twice?"),
}
Columns = Annotated[
    list[str] | None,
    typer.Option(
        "--map",
        help=worded(
            "For a CSV: a column of ours and the file's name for it, such as start=Date; repeatable."
        ),
    ),
]


@rides.command("read")
def read(
    file: Annotated[
        Path, typer.Argument(help=worded("Ride file: FIT, GPX, TCX or CSV, also packed as .gz."))
    ],
    columns: Columns = None,
    as_json: AsJson = False,
) -> None:
    """Say what one ride file holds: start, distance, times, climb, indoors, device, and what was damaged."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.rides.read_rides import file_json, read_one

    told = file_json(read_one(file, mapped(columns)))
    answer(told, read_lines(told), as_json=as_json)


def mapped(columns: list[str] | None) -> dict[str, str]:
    """Return ours=theirs pairs as a mapping.

    Raises:
        InputRefused: A pair without an equals sign.
    """
    pairs = {}
    for pair in columns or []:
        ours, sign, theirs = pair.partition("=")
        if not sign or not ours.strip() or not theirs.strip():
            sentence = worded(
                'A column is given as "{pair}": ours=theirs is needed, such as start=Date. Type it again.',
                pair=pair[:40],
            )
            raise InputRefused(sentence, {"map": sentence})
        pairs[ours.strip()] = theirs.strip()
    return pairs


@rides.command("import")
def take_in(
    path: Annotated[Path, typer.Argument(help=worded("Ride file, folder, or zip of thousands."))],
    bike: Annotated[str, typer.Option(help=worded("Tag of the bike."))],
    sort: Annotated[
        bool,
        typer.Option(
            "--sort",
            help=worded(
                "Rides of all bikes of this bike's owner: sort them by device; what is unclear is asked."
            ),
        ),
    ] = False,
    trainer: Annotated[
        int | None, typer.Option(help=worded("Number of the indoor trainer that indoor rides were on."))
    ] = None,
    claim: Annotated[
        bool,
        typer.Option(
            "--claim",
            help=worded("Rides of these files that came in for another person are this owner's from now on."),
        ),
    ] = False,
    columns: Columns = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Add ride files to a bike. Doubles are skipped, damage is named; all or nothing."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.ride_files import files_at, how_many, read_files
    from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides

    acting = who(named)
    seen = list(_with_progress(read_files(files_at(path), mapped(columns)), how_many(path)))
    asked = RidesRequest(bike, digest_of(seen), sort, trainer, claim)
    taken = take_in_rides(asked, seen, by=acting, key=mark(key), now=now())
    answer(plain(taken), taken_lines(taken), as_json=as_json)
    if taken.files and len(taken.refused) == taken.files:
        # Said above by name; a script must not take it for done.
        raise typer.Exit(2)


def _with_progress(seen: Iterator["FileRead"], whole: int | None) -> Iterator["FileRead"]:
    """Pass files on and draw on stderr how far it is, where a person watches."""
    watched = sys.stderr.isatty()
    for many, one in enumerate(seen, start=1):
        if watched:
            sys.stderr.write(f"\r{progress(many, whole)}")
            sys.stderr.flush()
        yield one
    if watched:
        sys.stderr.write("\n")


@rides.command("of")
def of(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    part: Annotated[
        int | None, typer.Option(help=worded("Number of a part: its use over time instead."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what ride files tell of a bike: sums, its week, rides that need a bike; or one part's use over time."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.part_over_time import part_used
    from pinchbolt.workshop.rides.ridden import bike_ridden

    if part is not None:
        used = part_used(tag, part, now())
        answer(plain(used), part_lines(used), as_json=as_json)
        return
    seen = bike_ridden(tag, now())
    lines = [
        worded(
            "{tag}: {rides} rides, {km} km, {indoor_km} of them indoors",
            tag=seen.tag,
            rides=figure_text(seen.rides),
            km=figure_text(seen.km, 0),
            indoor_km=figure_text(seen.indoor_km, 0),
        ),
        seen.week_words,
    ]
    for one in seen.asked:
        numbers = " ".join(str(ride) for ride in one.rides)
        lines.append(
            worded(
                "{asks} {rides} rides, {km} km, {device}: {why}; {pattern}{likely} (rides {numbers})",
                asks=_ASKS[one.question],
                rides=figure_text(len(one.rides)),
                km=figure_text(one.km, 0),
                device=one.device,
                why=one.why,
                pattern=one.pattern,
                likely=likely(one.likely),
                numbers=numbers,
            )
        )
        lines += [f"  {words}" for words in one.beside]
    lines += [one.words for one in seen.beside]
    lines += [
        worded(
            "ride {id}: {day} {km} km ({how})", id=one.id, day=one.day, km=figure_text(one.km, 1), how=one.how
        )
        for one in seen.newest
    ]
    answer(plain(seen), lines, as_json=as_json)


@rides.command("place")
def place(
    numbers: Annotated[list[int], typer.Argument(help=worded("Rides by number, as in pinchbolt rides of."))],
    bike: Annotated[str, typer.Option(help=worded("Tag of the bike; left out, they count for none."))] = "",
    trainer: Annotated[
        int | None, typer.Option(help=worded("Number of the indoor trainer they were on."))
    ] = None,
    instead: Annotated[
        bool,
        typer.Option("--instead", help=worded("One ride: these count, those at the same time no longer.")),
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Say which bike rides were on, or put it right; every part's use follows."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, place_rides

    placed = PlaceRidesRequest(tuple(numbers), bike, trainer, instead=instead)
    many = place_rides(placed, by=who(named), key=mark(key), now=now())
    answer(
        {"placed": many},
        [
            worded(
                "{many} rides placed: {bike}",
                many=figure_text(many),
                bike=bike.upper() or worded("they count for none"),
            )
        ],
        as_json=as_json,
    )


@rides.command("move")
def move(
    numbers: Annotated[list[int], typer.Argument(help=worded("Rides by number, as in pinchbolt rides of."))],
    bike: Annotated[str, typer.Option(help=worded("Tag of a bike of the person whose rides they are."))],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Say that rides are of another person than they came in for; every part's use follows."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, place_rides

    placed = PlaceRidesRequest(tuple(numbers), bike, moved=True)
    many = place_rides(placed, by=who(named), key=mark(key), now=now())
    answer(
        {"moved": many},
        [
            worded(
                "{many} ride{s} moved to the owner of {bike}",
                many=figure_text(many),
                s="s" if many != 1 else "",
                bike=bike.upper(),
            )
        ],
        as_json=as_json,
    )


@rides.command("back")
def back(
    numbers: Annotated[list[int], typer.Argument(help=worded("Rides by number, as in pinchbolt rides of."))],
    whole: Annotated[
        bool, typer.Option("--whole-import", help=worded("All that came in together with them as well."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take rides back that should not have come in: they count for nobody, and their files may come in again."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.rides.place_rides import TakeRidesBackRequest, take_back_rides

    asked = TakeRidesBackRequest(tuple(numbers), whole)
    many = take_back_rides(asked, by=who(named), key=mark(key), now=now())
    answer(
        {"taken_back": many},
        [worded("{many} ride{s} taken back", many=figure_text(many), s="s" if many != 1 else "")],
        as_json=as_json,
    )


@rides.command("since")
def since(
    bike: Annotated[str, typer.Option(help=worded("Tag of the bike."))],
    part: Annotated[int | None, typer.Option(help=worded("Number of one part; left out, all parts."))] = None,
    day: Annotated[
        datetime | None,
        typer.Option("--day", formats=["%Y-%m-%d"], help=worded("The day since which it is on.")),
    ] = None,
    all_along: Annotated[
        bool, typer.Option("--all-along", help=worded("As long as the owner has the bike."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down since when parts are on a bike that nobody fitted here; without a day: nobody knows."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.rides.on_since import SinceRequest, say_since

    asked = SinceRequest(bike, part, day.date() if day else None, all_along=all_along)
    many = say_since(asked, by=who(named), key=mark(key), now=now())
    answer(
        {"parts": many},
        [
            worded(
                "written down for {many} part{s} of {bike}",
                many=figure_text(many),
                s="s" if many != 1 else "",
                bike=bike.upper(),
            )
        ],
        as_json=as_json,
    )


@rides.command("said")
def said(
    bike: Annotated[str, typer.Option(help=worded("Tag of the bike."))],
    start: Annotated[datetime, typer.Option("--from", formats=["%Y-%m-%d"], help=worded("First day."))],
    end: Annotated[datetime, typer.Option("--to", formats=["%Y-%m-%d"], help=worded("Last day."))],
    km: Annotated[float | None, typer.Option(help=worded("Distance in all, km."))] = None,
    km_a_week: Annotated[float | None, typer.Option(help=worded("Or in a usual week, km."))] = None,
    known: Annotated[
        str, typer.Option(help=worded("odometer, owner's word, ride files or guess."))
    ] = "owner's word",
    corrects: Annotated[
        int | None, typer.Option(help=worded("Number of the distance that this one puts right."))
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down what somebody says that a bike went between two days."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance

    asked = DistanceRequest(
        start.date(), end.date(), km, known, tag=bike, km_a_week=km_a_week, corrects=corrects
    )
    number = note_distance(asked, by=who(named), key=mark(key), now=now())
    answer(
        {"distance": number},
        [worded("distance {number} is written down for {bike}", number=number, bike=bike.upper())],
        as_json=as_json,
    )
