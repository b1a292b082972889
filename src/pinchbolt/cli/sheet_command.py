"""pinchbolt sheet: a sheet of a job, a bike's bolt round, its owner's tools, or its hang tag, as a PDF file."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def sheet(
    name: Annotated[
        str,
        typer.Argument(
            help=worded(
                "estimate, job-card, torque-sheet, handover, not-safe, workings, bill, bolt-round, "
                "home-tools, or hang-tag."
            )
        ),
    ],
    of: Annotated[
        str,
        typer.Argument(
            help=worded("Number of the job; for a bolt round, home tools or a hang tag the bike's tag.")
        ),
    ],
    output: Annotated[
        Path, typer.Option("-o", "--output", help=worded("File to write; nothing is overwritten."))
    ],
    address: Annotated[
        str, typer.Option(help=worded("For a hang tag: the address that tablets open."))
    ] = "http://localhost:8010",
    which: Annotated[
        str,
        typer.Option(
            help=worded("For a bolt round: whole, first-ride, monthly or due; else the bike's usual one.")
        ),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Print a sheet into a PDF file."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.leaving.print_sheet import (
        print_bolt_round,
        print_hang_tag,
        print_home_tools,
        print_sheet,
    )
    from pinchbolt.workshop.torque.home_tools import FEW

    if name == "hang-tag":
        pdf = print_hang_tag(of, address)
    elif name == "bolt-round":
        pdf = print_bolt_round(of, which, now())
    elif name == "home-tools":
        pdf = print_home_tools(of, FEW, now())
    elif of.isascii() and of.isdigit() and len(of) < 12:
        pdf = print_sheet(name, int(of), now())
    else:
        raise InputRefused(
            worded('The job is "{of}": a number is needed. See: pinchbolt walk-round --help', of=of[:20])
        )
    try:
        with output.open("xb") as file:
            file.write(pdf)
    except FileExistsError:
        raise NotPossibleNow(
            worded("{output} is there already: nothing is overwritten. Choose another name.", output=output)
        ) from None
    answer(
        {"file": str(output), "bytes": len(pdf)},
        [worded("{output}: {pdf} bytes", output=output, pdf=figure_text(len(pdf)))],
        as_json=as_json,
    )
