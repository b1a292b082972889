"""pinchbolt wear: chains in bulk, and learning from them."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer

wear = typer.Typer(
    help="Wear: one part by hand, when to change chains, many chains from a file, learning.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
_WIDTH = 40


def bar(what: str) -> Callable[[float], None]:
    """Return a progress bar on stderr, told of the share done."""

    def told(share: float) -> None:
        full = round(_WIDTH * share)
        end = "\n" if share >= 1.0 else ""
        typer.echo(f"\r{what} [{'#' * full}{' ' * (_WIDTH - full)}] {share:4.0%}{end}", err=True, nl=False)

    return told


@wear.command("batch")
def batch(
    source: Annotated[Path, typer.Argument(metavar="IN", help="One chain a line, JSON.")],
    target: Annotated[Path, typer.Argument(metavar="OUT", help="Where the forecasts go, one a line.")],
    learned: Annotated[
        Path | None,
        typer.Option(help="What was learned, by: pinchbolt wear learn; else the trade's figures."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Forecast many chains: distance still to go, chance of being past the limit, odds that it is the chain on record."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.wear_bulk import wear_batch

    count = wear_batch(source, target, learned, bar("forecasting"))
    by = "the trade's figures" if learned is None else str(learned)
    answer(
        {"chains": count, "written": str(target), "learned": None if learned is None else str(learned)},
        [f"{count:,} chains forecast by {by}: {target}"],
        as_json=as_json,
    )


@wear.command("learn")
def learn(
    source: Annotated[
        Path, typer.Argument(metavar="IN", help="One chain a line, JSON; closed ones teach most.")
    ],
    save: Annotated[Path, typer.Option(help="Where what was learned is kept.")],
    as_json: AsJson = False,
) -> None:
    """Learn lives, spread, unevenness, workshops and their gauges from many chains."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.wear_bulk import USES, wear_learn

    found = wear_learn(source, save, bar("learning"))
    lives = dict(zip(USES, found.belief.lives, strict=True))
    lines = [
        f"Learned from {found.chains:,} chains ({found.closed:,} closed) of {found.workshops:,} "
        f"workshop{'s' if found.workshops != 1 else ''}: {save}",
        *(f"  {use}: half of them reach 0.75 % by {round(km, -1):,.0f} km" for use, km in lives.items()),
    ]
    answer(
        {"chains": found.chains, "closed": found.closed, "workshops": found.workshops, "saved": str(save)}
        | {"life_to_0.75_percent_km": lives},
        lines,
        as_json=as_json,
    )
