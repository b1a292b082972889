"""Gears: ratio, development, metres per metre of pedal, speed; steps, overlap and twins over a whole drive."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import log, pi

from pinchbolt.engines.gearing._gearing_sense import number, teeth
from pinchbolt.engines.gearing.gearing_types import Gear, Gears, GearsCompared, GearStep, Twin
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

M_PER_INCH = 0.0254
KM_H_PER_M_MIN = 60 / 1000
# Two gears closer than this are one to the legs (39/14 and 53/19, 0.1 % apart, are printed as a pair). From memory.
TWIN = 0.015


def ratio(ring: int, sprocket: int) -> float:
    """Return turns of the wheel for one turn of the crank: ``ring / sprocket``.

    Args:
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]

    Returns:
        The ratio. [-]

    Raises:
        InputRefused: Teeth that no part has, or that are not whole.

    Valid for: A chain or belt drive without a hub gear; a hub gear multiplies it by its own ratio.

    Example:
        >>> ratio(50, 20)
        2.5

    Source: Geometry.
    """
    return teeth("ring", ring) / teeth("sprocket", sprocket)


def development(ring: int, sprocket: int, circumference_m: float) -> float:
    """Return the way for one turn of the crank: ``ratio * circumference``.

    Args:
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]
        circumference_m: Rolling circumference of the loaded tyre. [m]

    Returns:
        Development. [m]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: No slip; the circumference is that under the rider.

    Example:
        >>> round(development(44, 12, 2.108), 2)
        7.73

    Source: Definition; checked against printed gear tables (44/12 at 2108 mm is 7.73 m).
    """
    return ratio(ring, sprocket) * number("circumference_m", circumference_m)


def gear_inches(ring: int, sprocket: int, diameter_m: float) -> float:
    """Return the diameter of the high wheel with the same gear: ``ratio * diameter``.

    Args:
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]
        diameter_m: Wheel with tyre. [m]

    Returns:
        Gear in inches. [in]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: As `development`.

    Example:
        >>> round(gear_inches(52, 13, 27 * 0.0254), 1)
        108.0

    Source: Definition; 52/13 on a 27 in wheel is printed as 108.
    """
    return ratio(ring, sprocket) * number("diameter_m", diameter_m) / M_PER_INCH


def metres_per_pedal_metre(ring: int, sprocket: int, wheel_radius_m: float, crank_m: float) -> float:
    """Return way of the bike by way of the pedal: ``ratio * wheel radius / crank length``.

    Args:
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]
        wheel_radius_m: Wheel with tyre. [m]
        crank_m: Crank length. [m]

    Returns:
        Gain. [-]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: As `development`.

    Example:
        >>> round(metres_per_pedal_metre(24, 30, 13 * 0.0254, 0.175), 2)
        1.51

    Source: Definition; 24/30 on a 26 in wheel with 175 mm cranks is printed as 1.51.
    """
    return ratio(ring, sprocket) * number("wheel_radius_m", wheel_radius_m) / number("crank_m", crank_m)


def speed(ring: int, sprocket: int, circumference_m: float, cadence_rpm: float) -> float:
    """Return the speed at a cadence: ``development * cadence``.

    Args:
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]
        circumference_m: Rolling circumference of the loaded tyre. [m]
        cadence_rpm: Turns of the crank a minute. [1/min]

    Returns:
        Speed. [km/h]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: As `development`.

    Example:
        >>> round(speed(50, 20, 2.0, 100), 6)
        30.0

    Source: Definition.
    """
    return development(ring, sprocket, circumference_m) * number("cadence_rpm", cadence_rpm) * KM_H_PER_M_MIN


def gears(
    rings: Sequence[int],
    sprockets: Sequence[int],
    circumference_m: float,
    crank_m: float | None = None,
    cadence_rpm: float | None = None,
    inside: Sequence[float] = (),
) -> Gears:
    """Return every gear of a drive, lowest first, with its steps, its twins and what two rings serve twice.

    A step is ``larger / smaller - 1`` between neighbouring sprockets. Gears within 1.5 % are twins. The overlap is the
    length (on the scale of ``log ratio``) served by more than one ring, divided by the length served at all.

    Args:
        rings: Chainrings. [teeth]
        sprockets: Sprockets. [teeth]
        circumference_m: Rolling circumference of the loaded tyre. [m]
        crank_m: Crank length; without it there are no metres ridden per metre of pedal. [m]
        cadence_rpm: Turns of the crank a minute; without it there is no speed. [1/min]
        inside: Ratios of a hub gear, turns of the wheel for one of its sprocket; empty without one. [-]

    Returns:
        The gears. [m, km/h, shares]

    Raises:
        InputRefused: No ring, no sprocket, more than 4 or 16 of them, one twice, or a figure out of any sense.

    Valid for: As `development`. A gear is called crossed on the big ring with the biggest two sprockets and on the
        small ring with the smallest two (common practice, no source).

    Example:
        >>> drive = gears([50, 34], [11, 34], 2.1)
        >>> (round(drive.range, 2), drive.distinct)
        (4.55, 4)

    Source: Definitions; the limit for twins is from memory.
    """
    all_rings = _wheels("ring", rings, 4)
    all_sprockets = _wheels("sprocket", sprockets, 16)
    hub = _hub(inside)
    outside = [
        _gear(ring, sprocket, all_rings, all_sprockets, circumference_m, crank_m, cadence_rpm)
        for ring in all_rings
        for sprocket in all_sprockets
    ]
    found = [
        _in_hub(gear, own, place) for gear in outside for place, own in enumerate(hub, start=1)
    ] or outside
    found.sort(key=lambda gear: (gear.ratio, gear.ring))
    steps = tuple(GearStep(more, fewer, more / fewer - 1) for fewer, more in pairwise(all_sprockets))
    steps += tuple(GearStep(n, n + 1, high / low - 1) for n, (low, high) in enumerate(pairwise(hub), start=1))
    twins = _twins(found)
    lower = {(twin.other.ring, twin.other.sprocket, twin.other.position) for twin in twins}
    return Gears(
        gears=tuple(found),
        lowest=found[0],
        highest=found[-1],
        range=found[-1].ratio / found[0].ratio,
        steps=steps,
        widest_step=max(steps, key=lambda step: step.share, default=None),
        twins=twins,
        distinct=len(found) - len(lower),
        overlap=_overlap(all_rings, all_sprockets, hub),
        reasons=(
            Reason(
                worded(
                    "development = ring / sprocket x {hub}{circumference_m:g} m",
                    hub=worded("the ratio in the hub x ") if hub else "",
                    circumference_m=circumference_m,
                ),
                "",
                "definition",
            ),
            Reason(
                worded("gears within {twin} of one another count as one", twin=percent(TWIN, 1)),
                "",
                worded("from memory"),
            ),
        ),
    )


def _hub(told: Sequence[float]) -> tuple[float, ...]:
    """The ratios of a hub gear, lowest first."""
    if isinstance(told, str) or len(told) > 20:
        raise InputRefused(
            worded(
                "ratios of a hub gear are a list of at most 20, such as 0.75, 1, 1.33. Read them in "
                "its sheet."
            ),
            {"inside": worded("a list of at most 20")},
        )
    found = tuple(sorted(number("inside", one) for one in told))
    if len(set(found)) != len(found):
        raise InputRefused(
            worded("one ratio of the hub gear is given twice: each once. Read them again."),
            {"inside": worded("each once")},
        )
    return found


def _in_hub(gear: Gear, own: float, place: int) -> Gear:
    """A gear of ring and sprocket with the hub in its own gear *own*."""
    return replace(
        gear,
        ratio=gear.ratio * own,
        development_m=gear.development_m * own,
        inches=gear.inches * own,
        metres_per_pedal_metre=None
        if gear.metres_per_pedal_metre is None
        else gear.metres_per_pedal_metre * own,
        speed_km_h=None if gear.speed_km_h is None else gear.speed_km_h * own,
        inside=own,
        position=place,
    )


def _wheels(name: str, told: Sequence[int], most: int) -> tuple[int, ...]:
    if isinstance(told, str) or not isinstance(told, Sequence) or not 1 <= len(told) <= most:
        raise InputRefused(
            worded("{name}s are given as a list of 1 to {most}. Count them.", name=name, most=most),
            {name: worded("a list of 1 to {most}", most=most)},
        )
    found = sorted({teeth(name, value) for value in told})
    if len(found) != len(told):
        raise InputRefused(
            worded("one {name} is given twice: each once. Count again.", name=name),
            {name: worded("each once")},
        )
    return tuple(found)


def _gear(
    ring: int, sprocket: int, rings: tuple[int, ...], sprockets: tuple[int, ...], circumference_m: float,
    crank_m: float | None, cadence_rpm: float | None,
) -> Gear:  # fmt: skip
    diameter = number("circumference_m", circumference_m) / pi
    crossed = len(rings) > 1 and len(sprockets) > 4 and (
        (ring == rings[-1] and sprocket >= sprockets[-2]) or (ring == rings[0] and sprocket <= sprockets[1])
    )  # fmt: skip
    return Gear(
        ring=ring,
        sprocket=sprocket,
        ratio=ring / sprocket,
        development_m=ring / sprocket * circumference_m,
        inches=ring / sprocket * diameter / M_PER_INCH,
        metres_per_pedal_metre=None
        if crank_m is None
        else metres_per_pedal_metre(ring, sprocket, diameter / 2, crank_m),
        speed_km_h=None if cadence_rpm is None else speed(ring, sprocket, circumference_m, cadence_rpm),
        crossed=crossed,
    )


def _twins(found: list[Gear]) -> tuple[Twin, ...]:
    pairs = []
    for place, one in enumerate(found):
        for other in found[place + 1 :]:
            apart = other.ratio / one.ratio - 1
            if apart > TWIN:
                break
            if (one.ring, one.position) != (other.ring, other.position):
                pairs.append(Twin(one, other, apart))
    return tuple(pairs)


def _overlap(rings: tuple[int, ...], sprockets: tuple[int, ...], hub: tuple[float, ...]) -> float:
    """Share of the log range that more than one ring serves; between rings that leave a gap nothing is served."""
    least, most = (hub[0], hub[-1]) if hub else (1.0, 1.0)
    spans = [(log(least * ring / sprockets[-1]), log(most * ring / sprockets[0])) for ring in rings]
    edges = sorted({edge for span in spans for edge in span})
    served = twice = 0.0
    for low, high in pairwise(edges):
        count = sum(1 for span in spans if span[0] <= low and high <= span[1])
        served += high - low if count else 0.0
        twice += high - low if count > 1 else 0.0
    return twice / served if served > 0 else 0.0


def compared(before: Gears, after: Gears) -> GearsCompared:
    """Return what a swap does to the gears, in shares and in words for the owner.

    Args:
        before: The drive as it is. [-]
        after: The drive after the swap. [-]

    Returns:
        Changes of the lowest and highest gear, the range and the widest step. [-]

    Raises:
        InputRefused: Never by itself; the gears were checked when they were made.

    Valid for: Both with the same wheel; with another wheel the developments are compared, which is right too.

    Example:
        >>> compared(gears([50], [11, 28], 2.1), gears([50], [11, 34], 2.1)).words[0]
        'the lowest gear is 18 % lower'

    Source: Definition.
    """
    lowest = after.lowest.development_m / before.lowest.development_m - 1
    highest = after.highest.development_m / before.highest.development_m - 1
    widest = _widest(after) - _widest(before)
    words = (
        _said(worded("the lowest gear is"), lowest),
        _said(worded("the highest gear is"), highest),
        worded(
            "the widest step between sprockets goes from {before} to {after}",
            before=percent(_widest(before)),
            after=percent(_widest(after)),
        )
        if abs(widest) >= 0.005
        else worded("the widest step between sprockets stays as it is"),
    )
    return GearsCompared(lowest, highest, after.range / before.range - 1, widest, words)


def _widest(drive: Gears) -> float:
    return drive.widest_step.share if drive.widest_step else 0.0


def _said(what: str, share: float) -> str:
    if abs(share) < 0.0005:
        return worded("{what} the same", what=what)
    return (
        f"{what} {percent(abs(share), 1 if abs(share) < 0.0995 else 0)} {'higher' if share > 0 else 'lower'}"
    )
