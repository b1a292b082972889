"""pinchbolt tyre: a tyre on a rim, in a frame, and its pressure."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer, say

if TYPE_CHECKING:
    from pinchbolt.workshop.questions.ask_tyre import TyreView


def tyre(
    marking: Annotated[str, typer.Argument(help="As on its side: 28-622; or as it is called: '26 in'.")],
    rim_inner: Annotated[float | None, typer.Option(help="Inner width of the rim, mm.")] = None,
    rim_seat: Annotated[float | None, typer.Option(help="Bead seat of the rim, mm: 622.")] = None,
    hooked: Annotated[
        bool | None, typer.Option("--hooked/--hookless", help="Whether the rim has hooks.")
    ] = None,
    allowed_hookless: Annotated[
        bool | None,
        typer.Option(
            "--allowed-hookless/--not-allowed-hookless", help="What the tyre's maker says of hookless rims."
        ),
    ] = None,
    mounted: Annotated[float | None, typer.Option(help="Width as measured, mounted, mm.")] = None,
    opening: Annotated[float | None, typer.Option(help="Narrowest opening of frame or fork, mm.")] = None,
    runout: Annotated[float, typer.Option(help="Lateral run-out of the wheel, mm.")] = 0.0,
    racing: Annotated[bool, typer.Option(help="A racing bike: 4 mm a side instead of 6.")] = False,
    off_road: Annotated[bool, typer.Option(help="Ridden off the road.")] = False,
    mass: Annotated[float | None, typer.Option(help="Rider, bike and load, kg; gives a pressure.")] = None,
    end: Annotated[str, typer.Option(help="front or rear.")] = "rear",
    tyre_max: Annotated[float | None, typer.Option(help="Greatest pressure marked on the tyre, bar.")] = None,
    tyre_min: Annotated[float | None, typer.Option(help="Least pressure marked on the tyre, bar.")] = None,
    rim_max: Annotated[float | None, typer.Option(help="Greatest pressure marked on the rim, bar.")] = None,
    pressure: Annotated[float | None, typer.Option(help="Pressure that is to be ridden, bar.")] = None,
    as_json: AsJson = False,
) -> None:
    """Say whether a tyre fits a rim and a frame, from which pressure to start under every ceiling, and how far it rolls."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.questions.ask_tyre import TyreRequest, ask_tyre, tyre_json

    asked = TyreRequest(
        marking=marking,
        rim_inner_mm=rim_inner,
        rim_seat_mm=rim_seat,
        hooked=hooked,
        allowed_hookless=allowed_hookless,
        mounted_mm=mounted,
        opening_mm=opening,
        runout_mm=runout,
        racing=racing,
        off_road=off_road,
        total_kg=mass,
        end=end,
        tyre_max_bar=tyre_max,
        tyre_min_bar=tyre_min,
        rim_max_bar=rim_max,
        pressure_bar=pressure,
    )
    found = ask_tyre(asked)
    answer(tyre_json(found), _lines(found), as_json=as_json)
    if found.no_pressure:
        # The rest of the answer stands, so the sentence goes beside it and not in its place.
        say(found.no_pressure, err=True)
        raise typer.Exit(3)


def _lines(found: "TyreView") -> Iterator[str]:
    from pinchbolt.workshop.questions.ask_tyre import WINS

    rolling = found.circumference.rolling
    # A misfit is the answer; everything else comes after it.
    checks = sorted(found.on_rim, key=lambda check: check.verdict.value != "does not fit")
    misfits = [check for check in checks if check.verdict.value == "does not fit"]
    yield from (f"{check.name}: {check.verdict.value}. {check.because}" for check in misfits)
    yield (
        f"{found.size.width:g} mm on a seat of {found.size.bead_seat:g} mm; rolls "
        f"{found.circumference.nominal * 1000:.0f} mm a turn ({rolling.low * 1000:.0f} to {rolling.high * 1000:.0f} under a rider)."
    )
    for check in checks[len(misfits) :]:
        needs = f" {' and '.join(check.with_items)}" if check.with_items else ""
        yield f"{check.name}: {check.verdict.value}{needs}. {check.because}"
        yield from (f"  ask: {ask}" for ask in check.ask)
    if found.mounted is not None:
        yield f"Stands {found.mounted.width.low:.1f} to {found.mounted.width.high:.1f} mm wide on this rim."
    if found.room is not None:
        word = {True: "enough", False: "too little", None: "cannot tell: measure it mounted"}[
            found.room.enough
        ]
        yield f"Room: {word}. {'; '.join(reason.words for reason in found.room.reasons)}."
    if found.pressure is not None:
        start = found.pressure.start
        yield (
            f"Start from {start.low:.1f} to {start.high:.1f} bar; never above {found.pressure.ceiling:.1f} "
            f"({found.pressure.ceiling_by}), never below {found.pressure.floor:.1f}."
        )
        yield from filter(None, (found.pressure.too_narrow,))
    yield from (f"not known: {words}" for words in found.doubts)
    yield WINS
