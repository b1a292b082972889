"""pinchbolt gears: what a drive gives, before and after a swap."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.engines.gearing import Gear, Gears
    from pinchbolt.workshop.questions.ask_gears import ChainLineRequest, GearsView, HillRequest


def gears(
    rings: Annotated[str, typer.Option(help=worded("Chainrings, teeth: 50/34."))] = "",
    sprockets: Annotated[
        str, typer.Option(help=worded("Sprockets, teeth: 11-12-13-14-16-18-21-24-28-32."))
    ] = "",
    tyre: Annotated[str, typer.Option(help=worded("Marking on the tyre's side: 28-622."))] = "",
    circumference: Annotated[float | None, typer.Option(help=worded("Rolled out instead, mm."))] = None,
    bike: Annotated[
        str, typer.Option(metavar="TAG", help=worded("A bike on record, for what is not given."))
    ] = "",
    crank: Annotated[
        float | None, typer.Option(help=worded("Crank length, mm; gives metres ridden per metre of pedal."))
    ] = None,
    cadence: Annotated[float, typer.Option(help=worded("Turns of the crank a minute."))] = 90.0,
    after_rings: Annotated[str, typer.Option(help=worded("Chainrings after a swap."))] = "",
    after_sprockets: Annotated[str, typer.Option(help=worded("Sprockets after a swap."))] = "",
    after_tyre: Annotated[str, typer.Option(help=worded("Tyre after a swap."))] = "",
    hub_ratios: Annotated[
        str, typer.Option(help=worded("Ratios inside a hub gear, lowest first: 0.75/1/1.33."))
    ] = "",
    after_hub_ratios: Annotated[
        str, typer.Option(help=worded("Ratios inside the hub gear after a swap; 'none' for a hub without."))
    ] = "",
    gradient: Annotated[
        float | None, typer.Option(help=worded("A hill, percent; with --mass and --power."))
    ] = None,
    mass: Annotated[float | None, typer.Option(help=worded("Rider, bike and load, kg."))] = None,
    power: Annotated[float | None, typer.Option(help=worded("What the rider can hold, W."))] = None,
    hill_cadence: Annotated[float, typer.Option(help=worded("Least cadence on the hill, rpm."))] = 60.0,
    ring_line: Annotated[
        list[float] | None,
        typer.Option(help=worded("Chain line of each ring, smallest first, mm; for the chain's slant.")),
    ] = None,
    rear_line: Annotated[
        float | None, typer.Option(help=worded("Chain line of the middle of the sprockets, mm."))
    ] = None,
    pitch: Annotated[float | None, typer.Option(help=worded("From sprocket to sprocket, mm."))] = None,
    stay: Annotated[float | None, typer.Option(help=worded("Crank spindle to rear axle, mm."))] = None,
    as_json: AsJson = False,
) -> None:
    """Say every gear: ratio, metres a turn, speed; steps and overlap; what a swap changes; what a hill asks."""
    from pinchbolt.cli.starting import load, opened

    (opened if bike else load)()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_gears import GearsRequest, gears_of

    asked = GearsRequest(
        tag=bike,
        rings=rings,
        sprockets=sprockets,
        tyre=tyre,
        circumference_mm=circumference,
        crank_mm=crank,
        cadence_rpm=cadence,
        after_rings=after_rings,
        after_sprockets=after_sprockets,
        after_tyre=after_tyre,
        hub_ratios=hub_ratios,
        after_hub_ratios=after_hub_ratios,
        hill=_hill(gradient, mass, power, hill_cadence),
        line=_line(ring_line, rear_line, pitch, stay),
    )
    found = gears_of(asked)
    answer(plain.as_json(found), _lines(found, cadence), as_json=as_json)


def _hill(
    gradient: float | None, mass: float | None, power: float | None, cadence: float
) -> "HillRequest | None":
    from pinchbolt.workshop.questions.ask_gears import HillRequest

    if gradient is None and mass is None and power is None:
        return None
    if gradient is None or mass is None or power is None:
        sentence = worded(
            "A hill takes all three: --gradient in percent, --mass in kg and --power in W. Give "
            "the missing one."
        )
        raise InputRefused(sentence, {"gradient": sentence})
    return HillRequest(gradient, mass, power, cadence)


def _line(
    ring_line: list[float] | None, rear_line: float | None, pitch: float | None, stay: float | None
) -> "ChainLineRequest | None":
    from pinchbolt.workshop.questions.ask_gears import ChainLineRequest

    if not ring_line and rear_line is None and pitch is None and stay is None:
        return None
    if not ring_line or rear_line is None or pitch is None or stay is None:
        sentence = worded(
            "The chain's slant takes all four: --ring-line, --rear-line, --pitch and --stay, mm. "
            "Give the missing one."
        )
        raise InputRefused(sentence, {"ring_line": sentence})
    return ChainLineRequest(tuple(ring_line), rear_line, pitch, stay)


def _lines(found: "GearsView", cadence: float) -> Iterator[str]:
    yield worded(
        "Rolls {circumference_m:.0f} mm a turn; speed at {cadence:g} rpm.",
        circumference_m=found.circumference_m * 1000,
        cadence=cadence,
    )
    yield from _drive(found.now)
    if found.after is not None:
        yield worded("After the swap:")
        yield from _drive(found.after)
    if found.compared is not None:
        yield worded("What it does: {words}.", words="; ".join(found.compared.words))
    for when, hill in (("", found.hill), (worded("after the swap: "), found.hill_after)):
        if hill is not None:
            low, high = hill.in_lowest.power_w.low, hill.in_lowest.power_w.high
            yield worded(
                "Hill: {when}{words}; in that gear {speed_km_h:.1f} km/h and {low:.0f} to {high:.0f} W.",
                when=when,
                words=hill.words,
                speed_km_h=hill.in_lowest.speed_km_h,
                low=low,
                high=high,
            )
    for slant in found.slants:
        yield worded(
            "  {ring}/{sprocket}: {off_mm:+.1f} mm off line, {degrees:+.1f} degrees",
            ring=slant.ring,
            sprocket=slant.sprocket,
            off_mm=slant.off_mm,
            degrees=slant.degrees,
        )
    yield from (worded("not known: {words}", words=words) for words in found.doubts)


def _drive(drive: "Gears") -> Iterator[str]:
    yield from (_gear(one) for one in drive.gears)
    widest = drive.widest_step
    step = (
        worded(
            "widest step {share} ({from_sprocket} to {to_sprocket})",
            share=percent(widest.share, 1),
            from_sprocket=widest.from_sprocket,
            to_sprocket=widest.to_sprocket,
        )
        if widest
        else worded("no steps")
    )
    yield (
        worded(
            "  range {range:.2f}, {distinct} distinct gears of {gears}, {step}, overlap of the "
            "rings {overlap}",
            range=drive.range,
            distinct=drive.distinct,
            gears=len(drive.gears),
            step=step,
            overlap=percent(drive.overlap),
        )
    )


def _gear(gear: "Gear") -> str:
    pedal = gear.metres_per_pedal_metre
    ridden = "" if pedal is None else worded("  {pedal:5.2f} m per m of pedal", pedal=pedal)
    hub = worded("  hub {position:>2}", position=gear.position) if gear.position else ""
    speed = "" if gear.speed_km_h is None else f"  {gear.speed_km_h:5.1f} km/h"
    return worded(
        "  {ring:>2}/{sprocket:<2}{hub}  ratio {ratio:5.2f}  {development_m:5.2f} m{ridden}{speed}{crossed}",
        ring=gear.ring,
        sprocket=gear.sprocket,
        hub=hub,
        ratio=gear.ratio,
        development_m=gear.development_m,
        ridden=ridden,
        speed=speed,
        crossed=worded("  crossed chain") if gear.crossed else "",
    )
