"""pinchbolt chain-length: how many pitches to cut."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded


def chain_length(
    stay: Annotated[float, typer.Option(help=worded("Crank spindle to rear axle, mm; suspension unloaded."))],
    ring: Annotated[int, typer.Option(help=worded("Biggest chainring, teeth."))],
    sprocket: Annotated[int, typer.Option(help=worded("Biggest sprocket, teeth."))],
    small_ring: Annotated[int | None, typer.Option(help=worded("Smallest chainring, teeth."))] = None,
    small_sprocket: Annotated[int | None, typer.Option(help=worded("Smallest sprocket, teeth."))] = None,
    capacity: Annotated[
        int | None, typer.Option(help=worded("What the derailleur's cage takes up, teeth."))
    ] = None,
    growth: Annotated[
        float, typer.Option(help=worded("By how much the stay grows at most as the suspension moves, mm."))
    ] = 0.0,
    spare: Annotated[
        int,
        typer.Option(
            help=worded("Pitches over the taut loop that the derailleur wants; its maker's word wins.")
        ),
    ] = 2,
    slot: Annotated[
        float | None,
        typer.Option(help=worded("No derailleur: length of the slot in which the axle moves, mm.")),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how many pitches to cut a chain to: the taut loop on the biggest pair, plus the spare, rounded up to even."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_chain_length import ChainRequest, chain_to_cut

    asked = ChainRequest(stay, ring, sprocket, small_ring, small_sprocket, capacity, growth, spare, slot)
    found = chain_to_cut(asked)
    lines = [
        worded(
            "Cut to {pitches} pitches ({length_mm:g} mm).", pitches=found.pitches, length_mm=found.length_mm
        ),
        *(f"  {words}" for words in found.working),
        *(worded("  look: {words}", words=words) for words in found.doubts),
    ]
    answer(plain.as_json(found), lines, as_json=as_json)
