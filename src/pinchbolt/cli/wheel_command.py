"""pinchbolt wheel: how long the spokes, how tight by ear, and which nipples to turn."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused
from pinchbolt.values import RepeatedKey, read_json
from pinchbolt.values.ahead import odds_words
from pinchbolt.values.wording import worded

wheel = typer.Typer(
    help=worded("Spoke length with its doubt, tension by ear, and the next turns of a truing plan."),
    no_args_is_help=True,
    rich_markup_mode=None,
)

if TYPE_CHECKING:
    from pinchbolt.workshop.questions.ask_wheel_length import StockedView, WheelLengthView
    from pinchbolt.workshop.questions.ask_wheel_plan import WheelPlanView
    from pinchbolt.workshop.questions.ask_wheel_sound import WheelSoundView

# A recording of a minute at the best quality, and a plan's readings with room to spare. [bytes]
MOST_SOUND, MOST_READINGS = 64_000_000, 2_000_000


@wheel.command("length")
def length(
    offset: Annotated[float, typer.Option(help=worded("Flange from the wheel's middle, mm."))],
    spokes: Annotated[int, typer.Option(help=worded("Spokes in the wheel."))],
    crossings: Annotated[int, typer.Option(help=worded("How often each crosses others; 0 is radial."))],
    erd: Annotated[float | None, typer.Option(help=worded("Effective rim diameter, slot bottom to slot bottom, mm."))] = None,
    circle: Annotated[float | None, typer.Option(help=worded("Circle through the flange's holes, mm."))] = None,
    hole: Annotated[float | None, typer.Option(help=worded("Holes of the flange, mm."))] = None,
    rim_offset: Annotated[float, typer.Option(help=worded("Rim hole from the rim's middle, above 0 to this side, mm."))] = 0.0,
    on_side: Annotated[int | None, typer.Option(help=worded("Spokes on this side, where it is not half."))] = None,
    pair_gap: Annotated[float | None, typer.Option(help=worded("Rim with holes in pairs: hole to hole in a pair, mm."))] = None,
    straight_pull: Annotated[bool, typer.Option("--straight-pull", help=worded("Hub without elbows."))] = False,
    pull_circle: Annotated[float | None, typer.Option(help=worded("Straight pull: twice the distance from axle to spoke line, mm."))] = None,
    seat: Annotated[float | None, typer.Option(help=worded("Straight pull: head seat from the nearest point, towards the rim, mm."))] = None,
    erd_sd: Annotated[float | None, typer.Option(help=worded("What the rim's diameter may be out by, one sd, mm."))] = None,
    circle_sd: Annotated[float | None, typer.Option(help=worded("The same of the circle."))] = None,
    offset_sd: Annotated[float | None, typer.Option(help=worded("The same of the flange's offset."))] = None,
    hole_sd: Annotated[float | None, typer.Option(help=worded("The same of the holes."))] = None,
    rim_offset_sd: Annotated[float | None, typer.Option(help=worded("The same of the rim hole's offset."))] = None,
    tension: Annotated[float | None, typer.Option(help=worded("Tension to come, N; its growth is taken off."))] = None,
    diameter: Annotated[float | None, typer.Option(help=worded("Spoke's diameter, mm; with --tension."))] = None,
    stocked: Annotated[str, typer.Option(help=worded("Lengths that can be had, mm: 290,292,294."))] = "",
    rim_spoke: Annotated[list[float] | None, typer.Option(help=worded("Rim by two spokes: the length of each, mm; give it twice."))] = None,
    rim_gap: Annotated[
        list[float] | None, typer.Option(help=worded("Gap between their elbows, below 0 where they overlap, mm; twice or more."))
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Say how long the spokes of one side must be, within what, and which stocked length is likeliest to do."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_wheel_length import WheelLengthRequest, wheel_length

    asked = WheelLengthRequest(
        offset_mm=offset,
        spokes=spokes,
        crossings=crossings,
        erd_mm=erd,
        circle_mm=circle,
        hole_mm=hole,
        rim_offset_mm=rim_offset,
        on_side=on_side,
        pair_gap_mm=pair_gap,
        straight_pull=straight_pull,
        pull_circle_mm=pull_circle,
        seat_mm=seat,
        erd_sd_mm=erd_sd,
        circle_sd_mm=circle_sd,
        offset_sd_mm=offset_sd,
        hole_sd_mm=hole_sd,
        rim_offset_sd_mm=rim_offset_sd,
        tension_n=tension,
        diameter_mm=diameter,
        stocked_mm=_figures("stocked", stocked),
        rim_spokes_mm=tuple(rim_spoke or ()),
        rim_gaps_mm=tuple(rim_gap or ()),
    )
    found = wheel_length(asked)
    answer(plain.as_json(found), _length_lines(found), as_json=as_json)


@wheel.command("pluck")
def pluck(
    files: Annotated[list[Path], typer.Argument(metavar="FILE.wav ...", help=worded("One recording for each spoke of one side."))],
    length_mm: Annotated[float | None, typer.Option(help=worded("Free length, elbow to nipple, mm."))] = None,
    diameter_mm: Annotated[float | None, typer.Option(help=worded("Diameter of a plain spoke, mm."))] = None,
    segments: Annotated[
        str, typer.Option(help=worded("A butted spoke's pieces from the elbow on, length x diameter, mm: "
"15x2.0/230x1.8/15x2.0."))
    ] = "",
    reference_n: Annotated[float | None, typer.Option(help=worded("A spoke of this kind and length: its tension, N."))] = None,
    reference_hz: Annotated[float | None, typer.Option(help=worded("Its pitch, Hz."))] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Say the pitch of plucked spokes, and how tight they are: among each other, or in newtons with one reference spoke."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_wheel_sound import WheelSoundRequest, wheel_sound

    asked = WheelSoundRequest(length_mm, diameter_mm, _pieces(segments), reference_n, reference_hz)
    found = wheel_sound(asked, [(one.name, _read(one, MOST_SOUND, "recording")) for one in files])
    answer(plain.as_json(found), _sound_lines(found), as_json=as_json)


@wheel.command("plan")
def plan(
    readings: Annotated[
        Path,
        typer.Argument(
            metavar="READINGS.json", help=worded("Wheel, limits, and what was read at each spoke.")
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Say which nipples to turn next, in the order of the hands, and what that does to side, up and tension."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_wheel_plan import plan_request_of, wheel_plan

    found = wheel_plan(plan_request_of(_json(readings)))
    answer(plain.as_json(found), _plan_lines(found), as_json=as_json)


def _read(file: Path, most: int, what: str) -> bytes:
    """The file's bytes; a file too big to be what is wanted is not read at all."""
    if file.stat().st_size > most:
        sentence = worded(
            "{name} holds {st_size:.0f} MB: a {what} has {most:.0f} MB at most. Cut it shorter.",
            name=file.name,
            st_size=file.stat().st_size / 1000000.0,
            what=what,
            most=most / 1000000.0,
        )
        raise InputRefused(sentence, {"file": sentence})
    return file.read_bytes()


def _json(file: Path) -> object:
    def no_constant(word: str) -> object:
        raise ValueError(worded("{word} is no figure", word=word))

    try:
        return read_json(
            _read(file, MOST_READINGS, worded("file of readings")).decode("utf-8-sig"), no_constant
        )
    except RepeatedKey as twice:
        sentence = f"{file.name}: {twice.sentence}"
        raise InputRefused(sentence, {"file": sentence}) from None
    except (ValueError, RecursionError) as fault:
        sentence = worded(
            "{name} is no JSON ({fault}). Look at that place, or make the file again.",
            name=file.name,
            fault=str(fault)[:80],
        )
        raise InputRefused(sentence, {"file": sentence}) from fault


def _figures(name: str, words: str) -> tuple[float, ...]:
    try:
        return tuple(float(one) for one in words.replace(";", ",").split(",") if one.strip())
    except ValueError as fault:
        sentence = worded(
            "{name} is {words!r}: lengths in mm with commas between, 290,292,294. Write it so.",
            name=name,
            words=words[:60],
        )
        raise InputRefused(sentence, {name: sentence}) from fault


def _pieces(words: str) -> tuple[tuple[float, float], ...]:
    try:
        pairs = [one.lower().split("x") for one in words.split("/") if one.strip()]
        return tuple((float(long), float(thick)) for long, thick in pairs)
    except ValueError as fault:
        sentence = worded(
            "segments is {words!r}: length x diameter of each piece, 15x2.0/230x1.8/15x2.0. Write it so.",
            words=words[:60],
        )
        raise InputRefused(sentence, {"segments": sentence}) from fault


def _length_lines(found: "WheelLengthView") -> Iterator[str]:
    yield found.words
    yield from map(_stocked_line, found.stocked[:4])
    if found.other_length_mm is not None:
        yield worded(
            "  the other way in a pair, {other_length_mm:.1f} mm:", other_length_mm=found.other_length_mm
        )
        yield from map(_stocked_line, found.other_stocked[:4])
    yield from (f"  {words}" for words in found.working)
    yield from (worded("  look: {words}", words=words) for words in found.doubts)


def _stocked_line(one: "StockedView") -> str:
    fits = odds_words(one.chance)
    return worded(
        "  {length_mm:g} mm: ends {over_mm:+.1f} mm from the slot's bottom, inside the nipple: {fits}",
        length_mm=one.length_mm,
        over_mm=one.over_mm,
        fits=fits,
    )


def _sound_lines(found: "WheelSoundView") -> Iterator[str]:
    yield from (f"{one.name}: {one.words}" for one in found.plucks)
    yield from (f"  {words}" for words in found.working)
    yield from (worded("  look: {words}", words=words) for words in found.doubts)


def _plan_lines(found: "WheelPlanView") -> Iterator[str]:
    yield found.words
    for place, one in enumerate(found.turns, 1):
        yield worded(
            "  {place:>2}. spoke {spoke:>2} ({side}): {words}",
            place=place,
            spoke=one.spoke,
            side=one.side,
            words=one.words,
        )
    for when, true in (
        ("now", found.now),
        (worded("after this round"), found.foreseen),
        (worded("in the end"), found.at_the_end),
    ):
        dish = "" if true.dish_mm is None else worded(", dish {dish_mm:+.2f} mm", dish_mm=true.dish_mm)
        yield (
            worded(
                "  {when}: side {side_mm:.2f} mm, up {up_mm:.2f} mm{dish}, {spread_percent:.0f} % "
                "off the side's mean, {least_n:.0f} to {greatest_n:.0f} N",
                when=when,
                side_mm=true.side_mm,
                up_mm=true.up_mm,
                dish=dish,
                spread_percent=true.spread_percent,
                least_n=true.least_n,
                greatest_n=true.greatest_n,
            )
        )
    yield from (f"  {words}" for words in found.working)
    yield from (worded("  look: {words}", words=words) for words in found.cautions)
