"""Chain length: the taut loop round two sprockets, and how long to cut."""

from math import asin, ceil, cos, pi, sin

from pinchbolt.engines.gearing._gearing_sense import number, teeth
from pinchbolt.engines.gearing.gearing_types import ChainLength, FixedChain
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.values import Reason
from pinchbolt.values.units import mm_per_pitch
from pinchbolt.values.wording import worded

PITCH_MM = mm_per_pitch
# One inner and one outer link over the taut loop on the biggest pair. Common practice, no source.
SPARE = 2
_SLACK = 1e-9


def pitch_diameter(count: int, pitch_mm: float = PITCH_MM) -> float:
    """Return the diameter of the circle on which the chain's pins lie: ``p / sin(pi / N)``.

    Args:
        count: Teeth of the wheel. [teeth]
        pitch_mm: Pitch of the chain. [mm]

    Returns:
        Pitch circle diameter. [mm]

    Raises:
        InputRefused: Fewer than 6 teeth, or a pitch that is not above 0.

    Valid for: A new chain on a new wheel.

    Example:
        >>> round(pitch_diameter(11), 4)
        45.0782

    Source: Geometry; printed for 25.4 mm pitch in a handbook of gears.
    """
    if isinstance(count, bool) or not isinstance(count, int) or count < 6 or not pitch_mm > 0:
        raise InputRefused(
            worded(
                "{count!r} teeth at a pitch of {pitch_mm!r} mm: 6 teeth at least, and a pitch above "
                "0. Count again.",
                count=count,
                pitch_mm=pitch_mm,
            )
        )
    return pitch_mm / sin(pi / count)


def taut_loop(stay_mm: float, ring: int, sprocket: int) -> float:
    """Return the length of the taut loop round ring and sprocket, not rounded.

    ``n = 2 a cos(al) + z1 (pi + 2 al) / (2 pi) + z2 (pi - 2 al) / (2 pi)``, ``a = C / p``, ``sin(al) = (R - r) / C``
    with pitch radii R and r: tangents, and arcs counted in pitches.

    Args:
        stay_mm: Crank spindle to rear axle. [mm]
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]

    Returns:
        Length. [pitches]

    Raises:
        InputRefused: A figure out of any sense, or wheels that touch.

    Valid for: Both wheels in one plane, no idler, chain tight on both sides.

    Example:
        >>> round(taut_loop(410, 44, 16), 5)
        95.18305

    Source: Geometry; the handbooks' short form ``2a + (z1 + z2)/2 + (z2 - z1)^2 / (4 pi^2 a)`` agrees within 0.01.
    """
    stay = number("stay_mm", stay_mm)
    big, small = sorted((teeth("ring", ring), teeth("sprocket", sprocket)), reverse=True)
    radii = (pitch_diameter(big) / 2, pitch_diameter(small) / 2)
    if stay <= sum(radii):
        sentence = worded(
            "stay is {stay:g} mm: {ring} and {sprocket} teeth touch below {radii:.0f} mm. Measure again.",
            stay=stay,
            ring=ring,
            sprocket=sprocket,
            radii=sum(radii),
        )
        raise InputRefused(sentence, {"stay_mm": sentence})
    slant = asin((radii[0] - radii[1]) / stay)
    arcs = big * (pi + 2 * slant) / (2 * pi) + small * (pi - 2 * slant) / (2 * pi)
    return 2 * stay / PITCH_MM * cos(slant) + arcs


def chain_length(
    stay_mm: float,
    ring: int,
    sprocket: int,
    *,
    small_ring: int | None = None,
    small_sprocket: int | None = None,
    capacity: int | None = None,
    growth_mm: float = 0.0,
    spare_pitches: int = SPARE,
) -> ChainLength:
    """Return how many pitches to cut for a derailleur: taut loop on the biggest pair, plus the spare, up to even.

    Half links do not exist in a plain cycle chain, so the number is even. Between the biggest and the smallest pair the
    cage takes up the difference of their taut loops; half a pitch is one tooth of capacity.

    Args:
        stay_mm: Crank spindle to rear axle, suspension unloaded. [mm]
        ring: Biggest chainring. [teeth]
        sprocket: Biggest sprocket. [teeth]
        small_ring: Smallest chainring, if there are several. [teeth]
        small_sprocket: Smallest sprocket. [teeth]
        capacity: The cage's capacity. [teeth]
        growth_mm: By how much the stay grows at most as the suspension moves. [mm]
        spare_pitches: Pitches over the taut loop that the derailleur needs; its maker's word wins. [pitches]

    Returns:
        Pitches to cut, and the working. [pitches]

    Raises:
        InputRefused: A figure out of any sense, wheels that touch, or a smallest wheel bigger than the biggest.

    Valid for: Derailleur drives without an idler. The derailleur maker's own rule wins; look at big on big on the stand
        before the chain is joined.

    Example:
        >>> chain_length(410, 50, 34).pitches
        110

    Source: Geometry; two spare pitches are common practice, no source.
    """
    spare_least = teeth("spare_pitches", spare_pitches)
    longest = number("stay_mm", stay_mm) + number("growth_mm", growth_mm)
    wrap = taut_loop(longest, ring, sprocket)
    pitches = 2 * ceil((wrap + spare_least) / 2 - _SLACK)
    least = wrap + spare_least
    reasons = [
        Reason(
            worded(
                "taut loop on {ring}/{sprocket} at {longest:g} mm: {wrap:.2f} pitches; with {spare} spare {least:.2f}",
                ring=ring,
                sprocket=sprocket,
                longest=longest,
                wrap=wrap,
                spare=spare_least,
                least=least,
            ),
            "",
            worded("geometry; the spare is common practice, no source"),
        ),
        Reason(
            worded("rounded up to an even number: {pitches}", pitches=pitches),
            "",
            worded("no half links in a plain chain"),
        ),
    ]
    slack = slack_teeth = cage_short = None
    if small_sprocket is not None:
        low_ring = ring if small_ring is None else small_ring
        if teeth("ring", low_ring) > ring or teeth("sprocket", small_sprocket) > sprocket:
            raise InputRefused(
                worded(
                    "smallest pair is {low_ring}/{small_sprocket} and the biggest {ring}/{sprocket}: "
                    "none of the small ones is above its big one. Were they swapped?",
                    low_ring=low_ring,
                    small_sprocket=small_sprocket,
                    ring=ring,
                    sprocket=sprocket,
                )
            )
        slack = wrap - taut_loop(stay_mm, low_ring, small_sprocket)
        slack_teeth = 2 * slack
        words = worded(
            "from {big} to {small} the cage takes up {slack:.1f} pitches, {slack_teeth:.1f} teeth",
            big=f"{ring}/{sprocket}",
            small=f"{low_ring}/{small_sprocket}",
            slack=slack,
            slack_teeth=slack_teeth,
        )
        reasons.append(Reason(words, "", "geometry"))
        if capacity is not None:
            cage_short = max(0.0, slack_teeth - teeth("capacity", capacity))
            reasons.append(
                Reason(
                    worded("the cage takes {capacity} teeth", capacity=capacity),
                    "",
                    worded("the derailleur maker's figure"),
                )
            )
    return ChainLength(pitches, wrap, pitches - wrap, slack, slack_teeth, cage_short, tuple(reasons))


def stay_for(pitches: int, ring: int, sprocket: int) -> float:
    """Return where the axle must stand for a taut loop of whole pitches (the other way round of `taut_loop`).

    Args:
        pitches: Length of the chain. [pitches]
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]

    Returns:
        Crank spindle to rear axle. [mm]

    Raises:
        InputRefused: A figure out of any sense.
        NoSafeAnswer: The chain does not reach round the two wheels.

    Valid for: Single speed, fixed wheel and hub gear without a tensioner. Leave 10 to 15 mm of play midway.

    Example:
        >>> round(stay_for(96, 44, 16), 1)
        415.2

    Source: Geometry; found by halving to 1e-9 mm.
    """
    wanted = teeth("pitches", pitches)
    radii = pitch_diameter(teeth("ring", ring)) / 2 + pitch_diameter(teeth("sprocket", sprocket)) / 2
    low, high = radii + 1e-6, 2000.0
    if not taut_loop(max(low, 150.0), ring, sprocket) <= wanted <= taut_loop(high, ring, sprocket):
        raise NoSafeAnswer(
            worded(
                "A chain of {wanted} pitches does not go round {ring}/{sprocket} with stays of 150 "
                "to 2000 mm. Count again.",
                wanted=wanted,
                ring=ring,
                sprocket=sprocket,
            )
        )
    low = max(low, 150.0)
    for _ in range(60):
        middle = (low + high) / 2
        if taut_loop(middle, ring, sprocket) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def fixed_chains(stay_mm: float, slot_mm: float, ring: int, sprocket: int) -> tuple[FixedChain, ...]:
    """Return every even chain length for which the axle stands inside the slot, nearest to the front first.

    Args:
        stay_mm: Crank spindle to the front end of the slot. [mm]
        slot_mm: Length of the slot in which the axle can be moved. [mm]
        ring: Chainring. [teeth]
        sprocket: Sprocket. [teeth]

    Returns:
        Lengths with the axle's place; empty where none fits (then another sprocket or a tensioner). [pitches, mm]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: As `stay_for`.

    Example:
        >>> [chain.pitches for chain in fixed_chains(405, 20, 44, 16)]
        [96]

    Source: Geometry.
    """
    slot = number("growth_mm", slot_mm)
    first = 2 * ceil(taut_loop(stay_mm, ring, sprocket) / 2 - _SLACK)
    last = taut_loop(stay_mm + slot, ring, sprocket)
    found = []
    while first <= last + _SLACK:
        stay = stay_for(first, ring, sprocket)
        found.append(FixedChain(first, stay, stay - stay_mm))
        first += 2
    return tuple(found)
