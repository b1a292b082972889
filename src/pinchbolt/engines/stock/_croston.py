"""Demand that comes now and then, by the three rules of the texts: kept as a check on what the counts say."""

from collections.abc import Sequence
from dataclasses import dataclass

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class NowAndThen:
    """Expected demand a period by three rules, in pieces: Croston's, with Syntetos and Boylan's factor, with the later one."""

    croston: float
    sba: float
    sbj: float


def now_and_then(counts: Sequence[float], smoothing: float = 0.1) -> NowAndThen:
    """Return the demand a period of a series with gaps: smoothed size over smoothed gap, and the two corrected ones.

    croston = z / p; sba = (1 - a / 2) z / p; sbj = (1 - a / (2 - a)) z / p. The first size is the first demand, the first gap
    the place at which it stands, counted from 1: libraries differ in this.

    Args:
        counts: Asked for in each period, oldest first. [pieces]
        smoothing: a, from above 0 to 1. [1]

    Returns:
        The three; 0 where nothing was ever asked for. [pieces a period]

    Raises:
        InputRefused: A count below 0, or smoothing out of range.

    Valid for: A check on the mean alone: the rules give no distribution, and Croston's never forgets a kind that died.

    Example:
        >>> now_and_then([0, 2, 0, 0, 2], 0.5).croston
        0.8

    Source: J. D. Croston, Operational Research Quarterly 23 (1972) 289; A. A. Syntetos, J. E. Boylan, International Journal of
        Forecasting 21 (2005) 303: factor 1 - a/2; the later factor 1 - a/(2 - a) as the texts on it give it.
    """
    if not 0 < smoothing <= 1:
        raise InputRefused(
            worded(
                "Smoothing is {smoothing:g}: above 0 and at most 1 is possible. Say it again.",
                smoothing=smoothing,
            )
        )
    if any(not one >= 0 for one in counts):
        raise InputRefused(
            worded("A count is {counts:g}: 0 or more is possible. Count it again.", counts=min(counts))
        )
    size = gap = 0.0
    since = 0
    for one in counts:
        since += 1
        if not one:
            continue
        size = one if not gap else size + smoothing * (one - size)
        gap = since if not gap else gap + smoothing * (since - gap)
        since = 0
    plain = size / gap if gap else 0.0
    return NowAndThen(plain, (1 - smoothing / 2) * plain, (1 - smoothing / (2 - smoothing)) * plain)
