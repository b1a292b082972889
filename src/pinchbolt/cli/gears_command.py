"""pinchbolt gears: what a drive gives, before and after a swap."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused
from pinchbolt.values.about import percent

if TYPE_CHECKING:
    from pinchbolt.engines.gearing import Gear, Gears
    from pinchbolt.workshop.questions.ask_gears import ChainLineRequest, GearsView, HillRequest


def gears(
    rings: Annotated[str, typer.Option(help="Chainrings, teeth: 50/34.")] = "",
    sprockets: Annotated[str, typer.Option(help="Sprockets, teeth: 11-12-13-14-16-18-21-24-28-32.")] = "",
    tyre: Annotated[str, typer.Option(help="Marking on the tyre's side: 28-622.")] = "",
    circumference: Annotated[float | None, typer.Option(help="Rolled out instead, mm.")] = None,
    bike: Annotated[str, typer.Option(metavar="TAG", help="A bike on record, for what is not given.")] = "",
    crank: Annotated[
        float | None, typer.Option(help="Crank length, mm; gives metres ridden per metre of pedal.")
    ] = None,
    cadence: Annotated[float, typer.Option(help="Turns of the crank a minute.")] = 90.0,
    after_rings: Annotated[str, typer.Option(help="Chainrings after a swap.")] = "",
    after_sprockets: Annotated[str, typer.Option(help="Sprockets after a swap.")] = "",
    after_tyre: Annotated[str, typer.Option(help="Tyre after a swap.")] = "",
    hub_ratios: Annotated[
        str, typer.Option(help="Ratios inside a hub gear, lowest first: 0.75/1/1.33.")
    ] = "",
    after_hub_ratios: Annotated[
        str, typer.Option(help="Ratios inside the hub gear after a swap; 'none' for a hub without.")
    ] = "",
    gradient: Annotated[float | None, typer.Option(help="A hill, percent; with --mass and --power.")] = None,
    mass: Annotated[float | None, typer.Option(help="Rider, bike and load, kg.")] = None,
    power: Annotated[float | None, typer.Option(help="What the rider can hold, W.")] = None,
    hill_cadence: Annotated[float, typer.Option(help="Least cadence on the hill, rpm.")] = 60.0,
    ring_line: Annotated[
        list[float] | None,
        typer.Option(help="Chain line of each ring, smallest first, mm; for the chain's slant."),
    ] = None,
    rear_line: Annotated[
        float | None, typer.Option(help="Chain line of the middle of the sprockets, mm.")
    ] = None,
    pitch: Annotated[float | None, typer.Option(help="From sprocket to sprocket, mm.")] = None,
    stay: Annotated[float | None, typer.Option(help="Crank spindle to rear axle, mm.")] = None,
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
        sentence = "A hill takes all three: --gradient in percent, --mass in kg and --power in W. Give the missing one."
        raise InputRefused(sentence, {"gradient": sentence})
    return HillRequest(gradient, mass, power, cadence)


def _line(
    ring_line: list[float] | None, rear_line: float | None, pitch: float | None, stay: float | None
) -> "ChainLineRequest | None":
    from pinchbolt.workshop.questions.ask_gears import ChainLineRequest

    if not ring_line and rear_line is None and pitch is None and stay is None:
        return None
    if not ring_line or rear_line is None or pitch is None or stay is None:
        sentence = "The chain's slant takes all four: --ring-line, --rear-line, --pitch and --stay, mm. Give the missing one."
        raise InputRefused(sentence, {"ring_line": sentence})
    return ChainLineRequest(tuple(ring_line), rear_line, pitch, stay)


def _lines(found: "GearsView", cadence: float) -> Iterator[str]:
    yield f"Rolls {found.circumference_m * 1000:.0f} mm a turn; speed at {cadence:g} rpm."
    yield from _drive(found.now)
    if found.after is not None:
        yield "After the swap:"
        yield from _drive(found.after)
    if found.compared is not None:
        yield f"What it does: {'; '.join(found.compared.words)}."
    for when, hill in (("", found.hill), ("after the swap: ", found.hill_after)):
        if hill is not None:
            low, high = hill.in_lowest.power_w.low, hill.in_lowest.power_w.high
            yield f"Hill: {when}{hill.words}; in that gear {hill.in_lowest.speed_km_h:.1f} km/h and {low:.0f} to {high:.0f} W."
    for slant in found.slants:
        yield f"  {slant.ring}/{slant.sprocket}: {slant.off_mm:+.1f} mm off line, {slant.degrees:+.1f} degrees"
    yield from (f"not known: {words}" for words in found.doubts)


def _drive(drive: "Gears") -> Iterator[str]:
    yield from (_gear(one) for one in drive.gears)
    widest = drive.widest_step
    step = (
        f"widest step {percent(widest.share, 1)} ({widest.from_sprocket} to {widest.to_sprocket})"
        if widest
        else "no steps"
    )
    yield (
        f"  range {drive.range:.2f}, {drive.distinct} distinct gears of {len(drive.gears)}, {step}, "
        f"overlap of the rings {percent(drive.overlap)}"
    )


def _gear(gear: "Gear") -> str:
    pedal = gear.metres_per_pedal_metre
    ridden = "" if pedal is None else f"  {pedal:5.2f} m per m of pedal"
    hub = f"  hub {gear.position:>2}" if gear.position else ""
    speed = "" if gear.speed_km_h is None else f"  {gear.speed_km_h:5.1f} km/h"
    return (
        f"  {gear.ring:>2}/{gear.sprocket:<2}{hub}  ratio {gear.ratio:5.2f}  {gear.development_m:5.2f} m{ridden}{speed}"
        f"{'  crossed chain' if gear.crossed else ''}"
    )
