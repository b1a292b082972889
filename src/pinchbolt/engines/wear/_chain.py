"""Elongation of a chain from a measured length."""

from math import isfinite
from typing import overload

from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.units import mm_per_pitch
from pinchbolt.values.wording import worded

PITCH_MM = mm_per_pitch


@overload
def elongation_percent(length_mm: float, pitches: int, pitch_mm: float = PITCH_MM) -> float: ...
@overload
def elongation_percent(length_mm: Interval, pitches: int, pitch_mm: float = PITCH_MM) -> Interval: ...


def elongation_percent(
    length_mm: float | Interval, pitches: int, pitch_mm: float = PITCH_MM
) -> float | Interval:
    """Return how much longer than new a stretch of chain is.

    elongation = 100 (length / (pitches x pitch) - 1).

    Args:
        length_mm: Pin edge to the same pin edge over the pitches; an interval stays an interval. [mm]
        pitches: Pitches measured; 24 for twelve pairs of links. [-]
        pitch_mm: Pitch as new. [mm]

    Returns:
        Elongation; below 0 for a chain that is shorter than nominal. [percent]

    Raises:
        InputRefused: No pitches, or a length that is no chain of that many.

    Valid for: Any stretch of roller chain under light tension. Wear that is uneven over the chain needs several places.

    Example:
        >>> round(elongation_percent(306.3, 24), 3)
        0.492

    Source: Nominal pitch 12.7 mm, ISO 9633.
    """
    if pitches < 1 or not (isfinite(pitch_mm) and pitch_mm > 0):
        raise InputRefused(
            worded(
                "{pitches} pitches of {pitch_mm:g} mm: at least 1 pitch of more than 0 mm is needed. "
                "Measure over 24 pitches.",
                pitches=pitches,
                pitch_mm=pitch_mm,
            )
        )
    if isinstance(length_mm, Interval):
        return Interval(_one(length_mm.low, pitches, pitch_mm), _one(length_mm.high, pitches, pitch_mm))
    return _one(length_mm, pitches, pitch_mm)


def _one(length_mm: float, pitches: int, pitch_mm: float) -> float:
    nominal = pitches * pitch_mm
    if not 0.97 * nominal <= length_mm <= 1.05 * nominal:
        raise InputRefused(
            worded(
                "length over {pitches} pitches is {length_mm:g} mm: a chain is {least:.1f} to "
                "{greatest:.1f} mm. Count the pitches again, and measure from a pin edge to the same "
                "pin edge.",
                pitches=pitches,
                length_mm=length_mm,
                least=0.97 * nominal,
                greatest=1.05 * nominal,
            )
        )
    return 100.0 * (length_mm / nominal - 1.0)
