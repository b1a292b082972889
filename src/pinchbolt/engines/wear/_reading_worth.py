"""Which further reading would sharpen the forecast most, before it is taken."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np

from pinchbolt.engines.wear._filter import FLAT_HIGH, FLAT_LOW, flat_share, told_of_interval, told_of_value
from pinchbolt.engines.wear._normal import integral
from pinchbolt.engines.wear._scale import Array, own_scale, unevenness
from pinchbolt.engines.wear._wear_words import amount
from pinchbolt.engines.wear.wear_types import Forecast, GaugeError, GaugeReading
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

POINTS = 41  # possible values of a reading that is a number
LEAST_SD = 1e-4
# An instrument that shows a value, as shares of the way from new to limit: caliper on a chain. Assumption.
USUAL_BIAS_SD, USUAL_SD = 0.04, 0.04


@dataclass(frozen=True, slots=True)
class Candidate:
    """An instrument that could be used now. `marks` of a go/no-go gauge, in the law's unit; none = it shows a value."""

    name: str
    error: GaugeError
    marks: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Worth:
    """Width of the four-in-five range of use to the limit: now, and after this reading, by the variance that it is expected
    to leave. Driver's unit."""

    instrument: str
    width_now: float
    width_after: float
    words: str


def worth_of_reading(forecast: Forecast, candidates: Sequence[Candidate]) -> tuple[Worth, ...]:
    """Return, best first, by how much a reading with each instrument would narrow the forecast on average.

    Each reading that the belief holds possible is tried: the intervals of a go/no-go gauge with their chances, equally likely
    values of a gauge that shows a value. What counts is the variance of the wear by the use at which the limit is likely
    reached. On average it never grows by a reading (law of total variance); a range between two quantiles can.

    Args:
        forecast: The forecast as it stands. [its law's unit]
        candidates: Instruments at hand. [law's unit]

    Returns:
        One line an instrument, the narrowest first. [driver's unit]

    Raises:
        InputRefused: A forecast without its belief.

    Valid for: An instrument whose bias is as known as its record says; what this part's earlier readings taught of
        it is not used.

    Example:
        >>> from datetime import date
        >>> from pinchbolt.engines.wear import RateOfUse, WearLaw, judge
        >>> from pinchbolt.values import Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source")
        >>> now = judge(law, [], RateOfUse(70.0, 0.5), date(2030, 5, 1), exposure_now=2000.0)
        >>> best = worth_of_reading(now, [Candidate("steel rule", GaugeError(0.0, 0.02, 0.08)),
        ...                               Candidate("caliper", GaugeError(0.0, 0.03, 0.03))])
        >>> best[0].instrument
        'caliper'

    Source: Law of total variance over the predictive distribution: docs/methods/wear.md.
    """
    if forecast.belief is None:
        raise InputRefused(
            worded(
                "forecast of the {part} carries no belief: a fresh one is needed. Ask for the "
                "forecast again.",
                part=forecast.law.part,
            )
        )
    found = [_worth(forecast, one) for one in candidates]
    return tuple(sorted(found, key=lambda w: w.width_after))


def sharpest(forecast: Forecast, readings: Sequence[GaugeReading]) -> str:
    """Say which further reading would sharpen the forecast most: by an instrument used before, or one that shows a value."""
    candidates = []
    for name, error in {r.instrument: r.error for r in readings}.items():
        ends = {
            e for r in readings if r.instrument == name for e in (r.shown.low, r.shown.high) if isfinite(e)
        }
        is_value = all(r.shown.is_value for r in readings if r.instrument == name)
        candidates.append(Candidate(name, error, () if is_value else tuple(sorted(ends))))
    if not any(not c.marks for c in candidates):
        span = abs(forecast.law.limit - forecast.law.new)
        usual = GaugeError(0.0, USUAL_BIAS_SD * span, USUAL_SD * span)
        candidates.append(Candidate(worded("rule, caliper or other gauge that shows a value"), usual))
    return worth_of_reading(forecast, candidates)[0].words


def _worth(forecast: Forecast, candidate: Candidate) -> Worth:
    scale, belief = own_scale(forecast.law), forecast.belief
    assert belief is not None
    weight, rate, mean = (np.array(a) for a in (belief.weight, belief.rate, belief.wear))
    var = np.array(belief.wear_sd) ** 2
    error = candidate.error
    bias, bias_sd = error.bias * scale.per_unit, abs(error.bias_sd * scale.per_unit)
    sd = max(abs(error.sd * scale.per_unit), LEAST_SD)
    expected, variance = mean + bias, var + bias_sd**2 + sd**2
    to_go = max(forecast.to_limit.median, 0.0)
    # Unevenness on the road ahead is there whatever is read.
    ahead = float((weight * rate**2).sum() * unevenness(np.array(to_go), *scale.unevenness))
    before = float(_variance(weight, mean + rate * to_go, var))
    lows, highs, chances = _possible(
        weight, expected, np.sqrt(variance), candidate, scale.wear, scale.misread
    )
    slip = np.full(len(weight), scale.misread)
    if candidate.marks:
        flat = np.array([flat_share(low, high) for low, high in zip(lows, highs, strict=True)])
        total, first, drop, _ = told_of_interval(
            expected, variance, lows[:, None], highs[:, None], slip, flat[:, None]
        )
    else:
        total, first, drop, _ = told_of_value(expected, variance, lows[:, None], slip, flat_share(0.0, 0.0))
    read = weight * total
    read /= read.sum(axis=1, keepdims=True)
    left = float(chances @ _variance(read, mean + var * first + rate * to_go, var - var * var * drop))
    now = forecast.to_limit.wide.high - forecast.to_limit.wide.low
    # The guard may have moved the forecast away from the belief: by what share the belief narrows is what counts.
    after = now * float(np.sqrt((left + ahead) / max(before + ahead, 1e-18)))
    unit = forecast.law.driver
    words = (
        worded(
            "A reading with the {name} now would narrow the likely range from {now} to about {then}.",
            name=candidate.name,
            now=amount(now, unit),
            then=amount(after, unit),
        )
        if after < 0.95 * now
        else worded("A reading with the {name} now would add little.", name=candidate.name)
    )
    return Worth(candidate.name, now, after, words)


def _variance(weight: Array, mean: Array, var: Array) -> Array:
    """Variance of a mixture; of several, one a row."""
    middle = (weight * mean).sum(axis=-1, keepdims=True)
    return np.asarray((weight * (var + (mean - middle) ** 2)).sum(axis=-1))


def _possible(
    weight: Array, expected: Array, root: Array, candidate: Candidate, to_own: object, misread: float
) -> tuple[Array, Array, Array]:
    """Ends (own scale) and chances of the readings that may come, slips among them."""
    assert callable(to_own)

    def below(at: Array) -> Array:
        good = (weight[:, None] * integral((at[None, :] - expected[:, None]) / root[:, None])).sum(axis=0)
        slipped = np.clip((at - FLAT_LOW) / (FLAT_HIGH - FLAT_LOW), 0.0, 1.0)
        return np.asarray((1.0 - misread) * good + misread * slipped)

    if candidate.marks:
        marks = np.sort(np.array([to_own(m) for m in candidate.marks]))
        ends = np.concatenate([[-inf], marks, [inf]])
        return ends[:-1], ends[1:], np.diff(np.concatenate([[0.0], below(marks), [1.0]]))
    # Equally likely values: quantiles of the predictive mixture, read off a fine grid.
    grid = np.linspace(
        min((expected - 6 * root).min(), FLAT_LOW), max((expected + 6 * root).max(), FLAT_HIGH), 801
    )
    values = np.interp((np.arange(POINTS) + 0.5) / POINTS, below(grid), grid)
    return values, values, np.full(POINTS, 1 / POINTS)
