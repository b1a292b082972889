"""pinchbolt tyre: a tyre on a rim, in a frame, and its pressure."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer, say
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.questions.ask_tyre import TyreView


def tyre(
    marking: Annotated[
        str, typer.Argument(help=worded("As on its side: 28-622; or as it is called: '26 in'."))
    ],
    rim_inner: Annotated[float | None, typer.Option(help=worded("Inner width of the rim, mm."))] = None,
    rim_seat: Annotated[float | None, typer.Option(help=worded("Bead seat of the rim, mm: 622."))] = None,
    hooked: Annotated[
        bool | None, typer.Option("--hooked/--hookless", help=worded("Whether the rim has hooks."))
    ] = None,
    allowed_hookless: Annotated[
        bool | None,
        typer.Option(
            "--allowed-hookless/--not-allowed-hookless",
            help=worded("What the tyre's maker says of hookless rims."),
        ),
    ] = None,
    mounted: Annotated[float | None, typer.Option(help=worded("Width as measured, mounted, mm."))] = None,
    opening: Annotated[
        float | None, typer.Option(help=worded("Narrowest opening of frame or fork, mm."))
    ] = None,
    runout: Annotated[float, typer.Option(help=worded("Lateral run-out of the wheel, mm."))] = 0.0,
    racing: Annotated[bool, typer.Option(help=worded("A racing bike: 4 mm a side instead of 6."))] = False,
    off_road: Annotated[bool, typer.Option(help=worded("Ridden off the road."))] = False,
    mass: Annotated[
        float | None, typer.Option(help=worded("Rider, bike and load, kg; gives a pressure."))
    ] = None,
    end: Annotated[str, typer.Option(help=worded("front or rear."))] = "rear",
    tyre_max: Annotated[
        float | None, typer.Option(help=worded("Greatest pressure marked on the tyre, bar."))
    ] = None,
    tyre_min: Annotated[
        float | None, typer.Option(help=worded("Least pressure marked on the tyre, bar."))
    ] = None,
    rim_max: Annotated[
        float | None, typer.Option(help=worded("Greatest pressure marked on the rim, bar."))
    ] = None,
    pressure: Annotated[
        float | None, typer.Option(help=worded("Pressure that is to be ridden, bar."))
    ] = None,
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
        worded(
            "{width:g} mm on a seat of {bead_seat:g} mm; rolls {nominal:.0f} mm a turn "
            "({low:.0f} to {high:.0f} under a rider).",
            width=found.size.width,
            bead_seat=found.size.bead_seat,
            nominal=found.circumference.nominal * 1000,
            low=rolling.low * 1000,
            high=rolling.high * 1000,
        )
    )
    for check in checks[len(misfits) :]:
        needs = f" {worded(' and ').join(check.with_items)}" if check.with_items else ""
        yield f"{check.name}: {check.verdict.value}{needs}. {check.because}"
        yield from (worded("  ask: {ask}", ask=ask) for ask in check.ask)
    if found.mounted is not None:
        yield worded(
            "Stands {low:.1f} to {high:.1f} mm wide on this rim.",
            low=found.mounted.width.low,
            high=found.mounted.width.high,
        )
    if found.room is not None:
        word = {True: "enough", False: worded("too little"), None: worded("cannot tell: measure it mounted")}[
            found.room.enough
        ]
        yield worded(
            "Room: {word}. {reasons}.",
            word=word,
            reasons="; ".join(reason.words for reason in found.room.reasons),
        )
    if found.pressure is not None:
        start = found.pressure.start
        yield (
            worded(
                "Start from {low:.1f} to {high:.1f} bar; never above {ceiling:.1f} ({ceiling_by}), "
                "never below {floor:.1f}.",
                low=start.low,
                high=start.high,
                ceiling=found.pressure.ceiling,
                ceiling_by=found.pressure.ceiling_by,
                floor=found.pressure.floor,
            )
        )
        yield from filter(None, (found.pressure.too_narrow,))
    yield from (worded("not known: {words}", words=words) for words in found.doubts)
    yield WINS
