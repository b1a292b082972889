"""The forecast of one part: readings in, wear, remaining use, days, verdict and why out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from pinchbolt.engines.wear import _words
from pinchbolt.engines.wear._filter import Cloud, grow, rate_grid, read, start
from pinchbolt.engines.wear._predict import (
    chance_past,
    day_curve,
    quantiles,
    use_quantiles,
    wear_quantiles,
)
from pinchbolt.engines.wear._refuse import refuse_bad_input
from pinchbolt.engines.wear._scale import Array, OwnScale, own_scale
from pinchbolt.engines.wear._steps import Steps, steps
from pinchbolt.engines.wear._verdict import last_is_past, next_check, verdict_by_chance
from pinchbolt.engines.wear._worth import sharpest
from pinchbolt.engines.wear.types import Belief, Forecast, GaugeReading, RateOfUse, WearLaw
from pinchbolt.values import DaySpread, Interval, Reason, Spread

NODES = 24
LEVELS = np.array([0.10, 0.25, 0.50, 0.75, 0.90])
TEN_YEARS = 3652.0
VISIT_DAYS = 90.0  # usual time to the next visit. Common practice, no source.
UNSURE_WEAR = (0.5, 0.45)  # wear of a part of which nothing is known, own scale. Assumption.
USED_WEAR = (0.4, 0.35)  # wear of a part that was fitted used, own scale. Assumption.
LEAST_SD = 1e-4  # no gauge is better than this, own scale


@dataclass(frozen=True, slots=True)
class Filtered:
    """The cloud after all readings, grown to today, and what was learned on the way."""

    cloud: Cloud
    scale: OwnScale
    steps: Steps
    good: tuple[float, ...]
    instruments: tuple[str, ...]
    before: Array  # evidence before each reading, then after the last


def judge(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    today: date,
    *,
    exposure_now: float | None = None,
    fitted_new: bool = True,
    fitted_on: date | None = None,
) -> Forecast:
    """Return how worn a part is, when it will reach its limit, the verdict, and why.

    log r ~ N(-log median life, life_log_sd^2); u(x + dx) = u(x) + r (dx + N(0, q(dx))); reading z = u + bias + noise,
    with a share of slips. For each r on a grid a Gaussian filter runs over (u, biases); the prediction is the closed
    mixture P(remaining <= x) = sum_k w_k Phi((m_k + r_k x - h) / sqrt(V_k + r_k^2 q(x))).

    Args:
        law: How this kind of part wears. [its own unit]
        readings: What was read, any order. [law's unit; exposure in the driver's unit]
        use: Use a week. [driver's unit a week]
        today: The day of the question. [-]
        exposure_now: Use since fitting up to today; None = not known. [driver's unit]
        fitted_new: False where the part was used before it was fitted. [-]
        fitted_on: The day of fitting, where known. [-]

    Returns:
        The forecast: wear now, use and days to warn and limit, verdict, next check, reasons, doubts. [law's unit]

    Raises:
        InputRefused: A value is not finite, a reading lies in the future, or the law contradicts itself.

    Valid for: Wear that only grows, at a rate that is the part's own. Not for parts that were repaired between
        readings, nor for sudden damage.

    Example:
        >>> from pinchbolt.values import Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source")
        >>> seen = judge(law, [], RateOfUse(70.0, 0.5), date(2030, 5, 1), exposure_now=3000.0)
        >>> round(seen.chance_past_limit, 2)
        0.48

    Source: Filter by nodes and closed mixture: docs/methods/wear.md. Cut-off normal moments: standard results.
    """
    refuse_bad_input(law, readings, use, today, exposure_now)
    if law.driver == "days":
        use = RateOfUse(7.0, 0.0)
    ordered = sorted(readings, key=lambda r: r.day)
    seen = run_filter(law, ordered, use, today, exposure_now, fitted_new, fitted_on)
    found = _forecast(law, ordered, use, today, seen)
    if law.clock:
        return found
    # Before the last line, which is the verdict's own.
    *others, last = found.reasons
    return replace(found, reasons=(*others, Reason(sharpest(found, ordered), source="computed"), last))


def run_filter(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    today: date,
    exposure_now: float | None,
    fitted_new: bool,
    fitted_on: date | None,
) -> Filtered:
    """Run the filter over readings in order of day, then let the part grow to today."""
    scale = own_scale(law)
    way = steps(law, readings, use, today, exposure_now, fitted_on)
    states = instrument_states(readings, scale)
    rate, prior = rate_grid(np.array([scale.mu]), np.array([scale.sigma]), NODES)
    wear, sd = UNSURE_WEAR if not way.start_known else USED_WEAR if not fitted_new else (0.0, scale.start_sd)
    means = np.array([[wear, *(state.mean for state in states)]])
    cloud = start(rate, prior, means, np.array([[max(sd, LEAST_SD), *(state.sd for state in states)]]))
    good, before = [], []
    for i, reading in enumerate(readings):
        grow(cloud, np.array([way.use[i]]), np.array([way.var[i]]), scale.unevenness)
        before.append(float(cloud.evidence[0]))
        good.append(_take(cloud, reading, way.at[i], scale, states))
    before.append(float(cloud.evidence[0]))
    grow(cloud, np.array([way.use[-1]]), np.array([way.var[-1]]), scale.unevenness)
    names = tuple(dict.fromkeys(r.instrument for r in readings))
    return Filtered(cloud, scale, way, tuple(good), names, np.array(before))


@dataclass(frozen=True, slots=True)
class InstrumentState:
    """One unknown of one instrument: constant bias, or growth of bias with use."""

    instrument: str
    grows: bool
    mean: float
    sd: float


def instrument_states(readings: Sequence[GaugeReading], scale: OwnScale) -> list[InstrumentState]:
    states: list[InstrumentState] = []
    for name, error in {r.instrument: r.error for r in readings}.items():
        to_own = scale.per_unit
        states.append(InstrumentState(name, False, error.bias * to_own, abs(error.bias_sd * to_own)))
        if error.growth or error.growth_sd:
            states.append(InstrumentState(name, True, error.growth * to_own, abs(error.growth_sd * to_own)))
    return states


def through(reading: GaugeReading, used: float, states: list[InstrumentState]) -> list[float]:
    """How a reading looks at wear and at each instrument state: its own bias, and growth of bias times use."""
    seen = [1.0]
    for state in states:
        mine = state.instrument == reading.instrument
        seen.append((used / 1000 if state.grows else 1.0) if mine else 0.0)
    return seen


def _take(
    cloud: Cloud, reading: GaugeReading, used: float, scale: OwnScale, states: list[InstrumentState]
) -> float:
    shown = scale.interval(reading.shown)
    sd = max(abs(reading.error.sd * scale.per_unit), LEAST_SD)
    good = read(
        cloud,
        np.array([shown.low]),
        np.array([shown.high]),
        np.array([sd]),
        np.array([through(reading, used, states)]),
        scale.misread,
    )
    return float((cloud.weight * good).sum())


def _forecast(
    law: WearLaw, readings: Sequence[GaugeReading], use: RateOfUse, today: date, seen: Filtered
) -> Forecast:
    cloud, scale = seen.cloud, seen.scale
    weight, mean, var, noise = cloud.weight, cloud.wear, cloud.wear_var, scale.unevenness
    a_day = (use.median_a_week / 7, use.log_sd)
    past = [float(chance_past(weight, mean, var, np.array([h]))[0]) for h in (scale.warn, 1.0)]
    to_warn, to_limit = (
        _spread(use_quantiles(weight, cloud.rate, mean - h, var, LEVELS, noise)[0]) for h in (scale.warn, 1.0)
    )
    days = [
        _days_at(today, DayQuestion(weight, cloud.rate, mean - h, var, noise, a_day, LEVELS))
        for h in (scale.warn, 1.0)
    ]
    curve = day_curve(weight, cloud.rate, mean - 1.0, var, noise, a_day)
    soon = float(curve(np.array([[VISIT_DAYS]]))[0][0, 0])
    verdict = verdict_by_chance(
        law,
        measured=bool(readings) or law.clock,
        last_past=bool(readings) and last_is_past(readings[-1], scale, seen.steps.at[len(readings) - 1]),
        warn=past[0],
        limit=past[1],
        soon=soon,
    )
    present = _spread(wear_quantiles(weight, mean, var, LEVELS)[0])
    before = life_before(law)
    doubts = seen.steps.doubts + _words.doubts(law, readings, seen.good)
    return Forecast(
        law=law,
        day=today,
        present=_to_bench(present, scale),
        rate_a_thousand=_rate_spread(weight[0], cloud.rate[0], scale),
        chance_past_warn=max(past),
        chance_past_limit=past[1],
        to_warn=to_warn,
        to_limit=to_limit,
        day_at_warn=days[0],
        day_at_limit=days[1],
        next_check_day=next_check(law, today, past[1], curve),
        verdict=verdict,
        reasons=_words.reasons(law, readings, seen.steps, use, before, to_limit, verdict, past[1]),
        doubts=tuple(dict.fromkeys(doubts)),
        evidence=float(cloud.evidence[0]),
        belief=Belief(
            tuple(map(float, cloud.rate[0])),
            tuple(map(float, weight[0])),
            tuple(map(float, mean[0])),
            tuple(float(np.sqrt(v)) for v in var[0]),
        ),
    )


def life_before(law: WearLaw) -> Interval:
    """Return the use from new within which four in five such parts reach their limit, before any reading."""
    scale = own_scale(law)
    rate, prior = rate_grid(np.array([scale.mu]), np.array([scale.sigma]), NODES)
    gap = np.full(rate.shape, -1.0)
    var = np.full(rate.shape, max(scale.start_sd, LEAST_SD) ** 2)
    ends = use_quantiles(prior, rate, gap, var, LEVELS[[0, 4]], scale.unevenness)[0]
    return Interval(float(ends[0]), float(ends[1]))


def _spread(five: Array) -> Spread:
    a, b, c, d, e = (float(v) for v in np.sort(five))
    return Spread(c, Interval(b, d), Interval(a, e))


def _to_bench(spread: Spread, scale: OwnScale) -> Spread:
    def turned(interval: Interval) -> Interval:
        ends = scale.bench(interval.low), scale.bench(interval.high)
        return Interval(min(ends), max(ends))

    return Spread(scale.bench(spread.median), turned(spread.half), turned(spread.wide))


def _rate_spread(weight: Array, rate: Array, scale: OwnScale) -> Spread:
    """Spread of the rate as a lognormal with the grid's mean and variance of the logarithm."""
    log_rate = np.log(rate)
    centre = float((weight * log_rate).sum())
    sd = float(np.sqrt(max((weight * (log_rate - centre) ** 2).sum(), 0.0)))
    z = np.array([-1.2815515655446004, -0.6744897501960817, 0.0, 0.6744897501960817, 1.2815515655446004])
    return _spread(np.exp(centre + sd * z) * 1000 / abs(scale.per_unit))


@dataclass(frozen=True, slots=True)
class DayQuestion:
    """When a mark is passed: the mixture, the use a day and the levels asked for."""

    weight: Array
    rate: Array
    gap: Array
    var: Array
    noise: tuple[float, float, float]
    a_day: tuple[float, float]
    levels: Array


def _days_at(today: date, ask: DayQuestion) -> DaySpread:
    curve = day_curve(ask.weight, ask.rate, ask.gap, ask.var, ask.noise, ask.a_day)
    wanted = ask.levels[None, :]
    low, high = np.full(wanted.shape, -TEN_YEARS), np.full(wanted.shape, TEN_YEARS)
    days = quantiles(curve, wanted, np.zeros(wanted.shape), low, high)[0]
    reached = curve(high)[0][0] >= ask.levels
    a, b, c, d, e = (
        _day(today, float(v)) if ok else None for v, ok in zip(np.sort(days), reached, strict=True)
    )
    return DaySpread(c, (b, d), (a, e))


def _day(today: date, days: float) -> date:
    return today + timedelta(days=round(days))
