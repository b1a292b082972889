"""Which stocked length, how far a spoke grows under tension, and the rim measured with two spokes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, hypot, pi, sqrt

from pinchbolt.engines.wheels._wheel_sense import figure
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values.wording import worded

# The end of the spoke may stand this far below or above the bottom of the nipple's slot. Common practice, no source.
WINDOW = 0.001
# Spokes are cut to about this; one sd. Common practice, no source.
CUT_SD = 0.0002
# Two readings of a rim may agree by chance: their scatter is taken as this at least; one sd. From memory.
LEAST_SCATTER = 0.0002
# Stainless spring wire 1.4310 (EN 10270-3): 185 GPa drawn, 189 to 195 after heat treatment.
ELASTICITY = 190e9


@dataclass(frozen=True, slots=True)
class RimMeasured:
    """Effective rim diameter with the sd of its mean, and how far the readings lie apart. [m]"""

    erd: float
    sd: float
    apart: float
    readings: int


@dataclass(frozen=True, slots=True)
class Stocked:
    """A stocked length in m, how far its end stands over the slot's bottom, and the chance that it is inside the window."""

    length: float
    over: float
    chance: float


def stocked_lengths(wanted: float, sd: float, stocked: Sequence[float]) -> tuple[Stocked, ...]:
    """Return each stocked length with the chance that its end stands inside the nipple's window, best first.

    ``P(-w <= S - L <= w)`` with L normal around *wanted*, and the spoke's own cut added to its variance.

    Args:
        wanted: Length that ends at the bottom of the slot. [m]
        sd: Its standard deviation. [m]
        stocked: Lengths that can be had; none means whole millimetres around it. [m]

    Returns:
        Lengths, best chance first; of equals the shorter. [m]

    Raises:
        InputRefused: A length out of any sense.

    Valid for: A window of 1 mm either side of the slot's bottom (common practice, no source); long nipples allow more.

    Example:
        >>> best = stocked_lengths(0.2922, 0.00025, [0.290, 0.292, 0.294])[0]
        >>> best.length, round(best.chance, 2)
        (0.292, 0.99)

    Source: Normal law; own window.
    """
    here = figure("length", wanted)
    doubt = hypot(figure("sd", sd), CUT_SD)
    given = [figure("stocked", one) for one in stocked] or [
        (round(here * 1000) + step) / 1000 for step in (-2, -1, 0, 1, 2)
    ]

    def below(room: float) -> float:
        return (1 + erf(room / doubt / sqrt(2))) / 2

    found = [
        Stocked(one, one - here, below(WINDOW - one + here) - below(-WINDOW - one + here))
        for one in set(given)
    ]
    return tuple(sorted(found, key=lambda one: (-round(one.chance, 6), abs(one.over), one.length)))


def elongation(tension: float, parts: Sequence[tuple[float, float]], elasticity: float = ELASTICITY) -> float:
    """Return by how much a spoke grows under tension: ``T / E`` times the sum of ``l / A`` over its parts.

    Args:
        tension: Tension. [N]
        parts: Length and diameter of each part from head to thread. [m]
        elasticity: E of the wire. [Pa]

    Returns:
        Growth. [m]

    Raises:
        InputRefused: A figure out of any sense, or no part at all.

    Valid for: Steel wire below its yield.

    Example:
        >>> round(elongation(1000, [(0.290, 0.002)]) * 1000, 3)
        0.486

    Source: Hooke's law; E of 1.4310 wire by EN 10270-3.
    """
    pull, stiff = figure("tension", tension), figure("elasticity", elasticity)
    if not parts:
        raise InputRefused(
            worded("The spoke has no part: give its length and diameter."),
            {"parts": worded("length and diameter")},
        )
    return sum(
        pull * long / (stiff * pi * figure("diameter", thick) ** 2 / 4) for long, thick in parts if long > 0
    )


def rim_by_two_spokes(
    first: float, second: float, gaps: Sequence[float], caliper_sd: float = 0.0001
) -> RimMeasured:
    """Return the effective rim diameter from two spokes of known length put through opposite holes.

    Each has its nipple screwed on until its end is level with the slot's bottom; the gap between the two elbows is read,
    below 0 where they overlap: ``ERD = l1 + l2 + gap``. Read it at two pairs of holes or more, a quarter turn apart. Its
    variance is scatter / n, the caliper's own, and that of the cut of both spokes; two gaps that agree say little of the scatter.

    Args:
        first: Length of one spoke, elbow to end. [m]
        second: Length of the other. [m]
        gaps: The gap at each pair of holes. [m]
        caliper_sd: What the caliper is out by, one sd. [m]

    Returns:
        The mean, its sd, and how far the readings lie apart. [m]

    Raises:
        InputRefused: A figure out of any sense, readings more than 4 mm apart.
        Unknown: Fewer than two readings.

    Valid for: An even count of holes, so that holes stand opposite.

    Example:
        >>> rim = rim_by_two_spokes(0.300, 0.300, [0.0021, 0.0025])
        >>> round(rim.erd * 1000, 2), round(rim.sd * 1000, 2)
        (602.3, 0.36)

    Source: Workshop practice, no source; standard deviation of a mean, with an even chance of each reading.
    """
    total = figure("length", first, worded("first spoke")) + figure("length", second, worded("second spoke"))
    read = [figure("gap", one) for one in gaps]
    if len(read) < 2:
        raise Unknown(
            worded(
                "The rim was read at one pair of holes only: a rim is not round. Read a second, a "
                "quarter turn on."
            )
        )
    apart = max(read) - min(read)
    if apart > 0.004:
        sentence = worded(
            "gaps lie {apart:.1f} mm apart: up to 4 mm is possible. Seat both nipples and read again.",
            apart=apart * 1000,
        )
        raise InputRefused(sentence, {"gap": sentence})
    mean = sum(read) / len(read)
    scatter = sum((one - mean) ** 2 for one in read) / (len(read) - 1)
    if len(read) == 2:
        scatter = max(scatter, LEAST_SCATTER**2)
    # The caliper's own error and the cut of the two spokes stay in the mean, however often it is read.
    sd = sqrt(scatter / len(read) + caliper_sd**2 + 2 * CUT_SD**2)
    return RimMeasured(figure("erd", total + mean, "rim"), sd, apart, len(read))
