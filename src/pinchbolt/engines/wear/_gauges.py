"""What is known of an instrument: learned from checks, from pairs, and doubted after a bad check."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from math import erf, exp, hypot, inf, isfinite, pi, sqrt

from pinchbolt.engines.wear.wear_types import GaugeError
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.wording import worded


def gauge_from_checks(error: GaugeError, checks: Sequence[tuple[float, Interval]]) -> GaugeError:
    """Return the error of an instrument after checks on things whose size is known.

    bias ~ N(b, s^2), shown = known + bias + noise. A value moves the normal by the usual rule; an interval ("0.5 stays
    out of a new chain") by the cut-off normal's mean and variance.

    Args:
        error: What was known before. [law's unit]
        checks: True size and what the instrument showed, one pair a check. [law's unit]

    Returns:
        The error with the bias learned; noise and growth as before. [law's unit]

    Raises:
        InputRefused: A size that is no number, or an instrument without noise.

    Valid for: An instrument that did not change between the checks.

    Example:
        >>> ten = [(0.0, Interval(0.05, 0.05))] * 10
        >>> better = gauge_from_checks(GaugeError(0.0, 0.03, 0.03), ten)
        >>> round(better.bias, 4), round(better.bias_sd, 4)
        (0.0455, 0.009)

    Source: Normal with known variance and normal prior, standard result.
    """
    if not error.sd > 0:
        raise InputRefused(
            worded(
                "noise of the gauge is {sd:g}: it must be above 0. Read one part ten times and take "
                "the spread.",
                sd=error.sd,
            )
        )
    bias, var = error.bias, error.bias_sd**2
    for known, shown in checks:
        if not isfinite(known):
            raise InputRefused(
                worded("known size is {known:g}: it must be a number. Measure the thing first.", known=known)
            )
        total = var + error.sd**2
        shift, drop = _cut_off(shown.low - known - bias, shown.high - known - bias, sqrt(total))
        bias += var / total * shift
        var -= var**2 / total * drop
    return replace(error, bias=bias, bias_sd=sqrt(max(var, 0.0)))


def gauges_from_pairs(
    one: GaugeError, other: GaugeError, pairs: Sequence[tuple[float, float]]
) -> tuple[GaugeError, GaugeError]:
    """Return the errors of two instruments after readings of the same parts by both, straight after each other.

    The difference of a pair is bias - bias' + noise. It moves each bias by its share of the doubt: the better known
    instrument moves little. What both have in common cannot be learned this way.

    Args:
        one: First instrument. [law's unit]
        other: Second instrument. [law's unit]
        pairs: What the first and the second showed on one part, one pair a part. [law's unit]

    Returns:
        Both errors with their biases learned. [law's unit]

    Raises:
        InputRefused: A value that is no number.

    Valid for: Values. The two biases are then no longer independent; the small dependence is dropped.

    Example:
        >>> gauge, caliper = gauges_from_pairs(GaugeError(0.12, 0.05, 0.04), GaugeError(0.0, 0.03, 0.03), [(0.7, 0.5)] * 10)
        >>> round(gauge.bias - caliper.bias, 2)
        0.19

    Source: Two normals seen through their difference, standard result.
    """
    for pair in pairs:
        if not all(isfinite(p) for p in pair):
            raise InputRefused(
                worded(
                    "pair of readings is {first:g} and {second:g}: both must be numbers. Read again.",
                    first=pair[0],
                    second=pair[1],
                )
            )
    if not pairs:
        return one, other
    n = len(pairs)
    gap = sum(a - b for a, b in pairs) / n - (one.bias - other.bias)
    noise = (one.sd**2 + other.sd**2) / n
    total = one.bias_sd**2 + other.bias_sd**2 + noise
    if total == 0.0:
        return one, other
    learned = []
    for error, sense in ((one, 1.0), (other, -1.0)):
        share = error.bias_sd**2 / total
        learned.append(
            replace(
                error,
                bias=error.bias + sense * share * gap,
                bias_sd=error.bias_sd * sqrt(max(1.0 - share, 0.0)),
            )
        )
    return learned[0], learned[1]


def doubted(error: GaugeError, found_bias: float, last_good: date, found_bad: date) -> tuple[GaugeError, str]:
    """Return the error to use for readings taken between the last good check and the bad one, and the doubt in words.

    When the instrument went wrong is not known: its bias lies anywhere from the good to the bad one.

    Args:
        error: Error as it was believed. [law's unit]
        found_bias: Bias found at the bad check. [law's unit]
        last_good: Day of the last good check. [-]
        found_bad: Day of the bad check. [-]

    Returns:
        The widened error, and one sentence. [law's unit]

    Raises:
        InputRefused: The bad check is before the good one, or its bias is no number.

    Valid for: A bias that drifted or jumped once. Readings after the bad check are to be taken anew.

    Example:
        >>> wide, words = doubted(GaugeError(0.0, 0.02, 0.02), 0.12, date(2030, 1, 10), date(2030, 5, 20))
        >>> round(wide.bias, 2), round(wide.bias_sd, 3)
        (0.06, 0.04)

    Source: Rectangular doubt, JCGM 100:2008, 4.3.7: half-width over the root of three.
    """
    if found_bad < last_good or not isfinite(found_bias):
        raise InputRefused(
            worded(
                "bad check of {found_bad} with bias {found_bias:g}: it must be a number, and not "
                "before the last good check of {last_good}. Correct the days.",
                found_bad=found_bad.isoformat(),
                found_bias=found_bias,
                last_good=last_good.isoformat(),
            )
        )
    half = abs(found_bias - error.bias) / 2
    wide = replace(error, bias=(error.bias + found_bias) / 2, bias_sd=hypot(error.bias_sd, half / sqrt(3)))
    return wide, (
        worded(
            "The gauge was last found good on {last_good} and bad on {found_bad}: readings in "
            "between may be out by as much. Measure again what was judged by them.",
            last_good=last_good.isoformat(),
            found_bad=found_bad.isoformat(),
        )
    )


def _cut_off(low: float, high: float, root: float) -> tuple[float, float]:
    """Shift of the mean of N(0, root^2) seen as a value or cut to low..high, and drop of variance as a share."""
    if low == high:
        return low, 1.0
    a, b = low / root, high / root
    chance = 0.5 * (erf(b / sqrt(2)) - erf(a / sqrt(2)))
    if chance < 1e-12:
        # Far out: as good as the nearest end.
        return (low if low > 0 else high), 1.0
    pa = exp(-0.5 * a * a) / sqrt(2 * pi) if a > -inf else 0.0
    pb = exp(-0.5 * b * b) / sqrt(2 * pi) if b < inf else 0.0
    shift = (pa - pb) / chance
    slope = ((a * pa if pa else 0.0) - (b * pb if pb else 0.0)) / chance
    return shift * root, min(max(shift**2 - slope, 0.0), 1.0)
