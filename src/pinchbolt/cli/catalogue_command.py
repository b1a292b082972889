"""pinchbolt catalogue: parts in the bins and to order, from a file and as they lie."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.parts.take_in_parts import PartsTaken

catalogue = typer.Typer(
    help=worded("Parts in the bins and to order: take a file in, look at what lies there."),
    no_args_is_help=True,
    rich_markup_mode=None,
)


@catalogue.command("import")
def take_in(
    source: Annotated[
        Path, typer.Argument(metavar="FILE", help=worded("CSV; names of the columns in its first line."))
    ],
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--map",
            metavar="OURS=THEIRS",
            help=worded("A column: price='RRP incl. tax'; cassette=Type; once for each."),
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help=worded("Say what would happen, write nothing."))
    ] = False,
    keep_good: Annotated[
        bool, typer.Option("--keep-good", help=worded("Take the good lines where others are refused."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take a file of parts in. Columns: number, kind, words, price; place, minutes, bin, count, meets; any fact of the fit rules."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts, try_parts

    asked = PartsRequest(_text(source), dict(_column(words) for words in column or []), keep_good)
    found = try_parts(asked) if dry_run else take_in_parts(asked, by=who(named), key=mark(key), now=now())
    answer(plain.as_json(found), _lines(found), as_json=as_json)
    if found.refused and not found.written:
        raise typer.Exit(2)


@catalogue.command("list")
def listed(
    kind: Annotated[str, typer.Option(help=worded("One kind of part, such as cassette."))] = "",
    as_json: AsJson = False,
) -> None:
    """List what lies in the bins and what can be ordered."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.parts.take_in_parts import bins

    found = bins(kind)
    lines = [
        f"{one.number}  " + f"{one.place} {one.kind}".strip() + f": {one.words}, {one.price}, {one.lies}"
        for one in found
    ]
    answer(
        plain.as_json(found),
        lines or [worded("Nothing lies in the bins. Take a file in: pinchbolt catalogue import FILE")],
        as_json=as_json,
    )


def _text(source: Path) -> str:
    from pinchbolt.workshop.parts.parts_file import text_of_bytes

    return text_of_bytes(source.read_bytes())


def _column(words: str) -> tuple[str, str]:
    ours, equals, theirs = words.partition("=")
    if not equals or not ours.strip():
        sentence = worded(
            'The column is "{words}": ours=theirs is needed, such as price=RRP. Type it again.',
            words=words[:60],
        )
        raise InputRefused(sentence, {"map": sentence})
    return ours.strip(), theirs.strip()


def _lines(found: "PartsTaken") -> Iterator[str]:
    yield found.words
    for one in found.refused:
        yield from (
            worded(
                "  line {line} ({number}): {why}",
                line=one.line,
                number=one.number or worded("no number"),
                why=why,
            )
            for why in one.why.values()
        )
    if found.unused:
        yield worded("columns not used: {unused}", unused=", ".join(found.unused))
