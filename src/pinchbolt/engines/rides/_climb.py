"""Climb and descent from altitudes that tremble."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]

SMOOTH_S = 10.0
"""Altitudes this far on either side are averaged. Our assumption: it evens out what a barometer trembles. [s]"""

LEAST_RISE_M = 2.0
"""A rise or fall that counts at all. Our assumption: what a smoothed altitude still trembles by. [m]"""

LOWEST_M, HIGHEST_M = -500.0, 10000.0


def climb_and_descent(altitude: Sequence[float], seconds: Sequence[float] = ()) -> tuple[float, float]:
    """Return how far a ride climbed and how far it came down again.

    Altitudes within 10 s on either side are averaged; then each rise from a low turning point to the next high one
    counts, and each fall, if it is 2 m or more.

    Args:
        altitude: In riding order. [m]
        seconds: Time of each altitude, rising; left out means one a second. [s]

    Returns:
        Climb and descent, both positive. [m]

    Raises:
        InputRefused: An altitude that is not a number or outside -500 to 10000, or not as many times as altitudes.

    Valid for: Barometric or mapped altitudes. Positions by satellite alone tremble by more and give too much.

    Example:
        >>> climb, descent = climb_and_descent([100.0] * 20 + [110.0] * 20 + [109.5, 110.5] * 20 + [60.0] * 20)
        >>> round(climb), round(descent)
        (10, 50)

    Source: Turning points with a least step, common practice in counting loads and climbs, no source; 10 s and 2 m are
        our assumptions.
    """
    heights = np.asarray(altitude, dtype=float)
    times = np.asarray(seconds, dtype=float) if len(seconds) else np.arange(len(heights), dtype=float)
    if heights.shape != times.shape:
        sentence = worded(
            "{size} altitudes and {times_size} times: each altitude has one time. Pair them.",
            size=heights.size,
            times_size=times.size,
        )
        raise InputRefused(sentence, errors={"seconds": sentence})
    wrong = heights[~((heights >= LOWEST_M) & (heights <= HIGHEST_M))]
    if wrong.size:
        sentence = worded(
            "altitude is {wrong:g} m: from {lowest_m:g} to {highest_m:g} m is possible. Leave it out.",
            wrong=wrong[0],
            lowest_m=LOWEST_M,
            highest_m=HIGHEST_M,
        )
        raise InputRefused(sentence, errors={"altitude": sentence})
    return climbed(times, heights)


def climbed(times: Floats, heights: Floats) -> tuple[float, float]:
    """Climb and descent of sound altitudes at rising times."""
    if heights.size < 2:
        return 0.0, 0.0
    return _turned(_turning_points(_smoothed(times, heights)))


def _smoothed(times: Floats, heights: Floats) -> Floats:
    """Mean of the altitudes within `SMOOTH_S` on either side, as many before as after, so that a slope keeps its ends."""
    own = np.arange(heights.size)
    before = own - np.searchsorted(times, times - SMOOTH_S, side="left")
    after = np.searchsorted(times, times + SMOOTH_S, side="right") - 1 - own
    reach = np.maximum(np.minimum(before, after), 0)
    total = np.concatenate(([0.0], np.cumsum(heights)))
    mean: Floats = (total[own + reach + 1] - total[own - reach]) / (2 * reach + 1)
    return mean


def _turning_points(level: Floats) -> list[float]:
    """First, last, and every level at which the slope changes its sign."""
    level = level[np.concatenate(([True], np.diff(level) != 0))]
    turns = np.flatnonzero(np.diff(np.sign(np.diff(level))) != 0) + 1
    return [float(one) for one in level[np.concatenate(([0], turns, [level.size - 1]))]]


def _turned(levels: list[float]) -> tuple[float, float]:
    """Add up the rises and falls between turning points that are far enough apart."""
    rise = fall = 0.0
    low = high = levels[0]
    up: bool | None = None
    for level in levels:
        if up is None:
            low, high = min(low, level), max(high, level)
            if high - low >= LEAST_RISE_M:
                up = level == high
        elif up:
            high = max(high, level)
            if high - level >= LEAST_RISE_M:
                rise, up, low = rise + high - low, False, level
        else:
            low = min(low, level)
            if level - low >= LEAST_RISE_M:
                fall, up, high = fall + high - low, True, level
    under_way = high - low
    if up is None:
        return 0.0, 0.0
    return (rise + under_way, fall) if up else (rise, fall + under_way)
