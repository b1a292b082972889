"""The forecast of one part: readings in, wear, remaining use, days, verdict and why out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from math import exp

import numpy as np

from pinchbolt.engines.wear import _wear_words as _words
from pinchbolt.engines.wear._batch import log_odds_same
from pinchbolt.engines.wear._days import Days
from pinchbolt.engines.wear._filter import (
    Cloud,
    PartArrays,
    begin,
    hub_share,
    looked_at,
    read,
    slip_of,
    told,
    until_last,
)
from pinchbolt.engines.wear._guard import AT_MARK, above, reached
from pinchbolt.engines.wear._hunt import Law, chance_of, grid_of, law_of, use_at, wear_at
from pinchbolt.engines.wear._normal import integral, probit
from pinchbolt.engines.wear._one import bent, part_of, unbent
from pinchbolt.engines.wear._reading_worth import sharpest
from pinchbolt.engines.wear._refuse_readings import refuse_bad_input
from pinchbolt.engines.wear._scale import Array, OwnScale, own_scale, unevenness
from pinchbolt.engines.wear._steps import Steps, steps
from pinchbolt.engines.wear._verdict import next_check, verdict_by_chance
from pinchbolt.engines.wear.wear_types import Belief, Forecast, GaugeReading, RateOfUse, Start, WearLaw
from pinchbolt.values import Interval, Reason, Spread
from pinchbolt.values.money import with_figures

NODES = 19
LEVELS = np.array([0.10, 0.25, 0.50, 0.75, 0.90])
VISIT_DAYS = 90.0  # usual time to the next visit. Common practice, no source.
LEAST_OF_NODE = 1e-7  # weight of a component that counts
PRECISION = 1e-8  # of a quantile, in median lives


@dataclass(frozen=True, slots=True)
class JudgedPart:
    """One part after all its readings: its guarded law, and what the last reading itself left of belief.

    `good`: of each reading the chance that it was no slip; `started`: chances of new, used and another part.
    """

    part: PartArrays
    scale: OwnScale
    way: Steps
    law: Law
    cloud: Cloud
    good: tuple[float, ...]
    started: tuple[float, float, float]
    like_hub: float
    evidence: float
    log_odds_same: float | None


def judge(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    today: date,
    *,
    exposure_now: float | None = None,
    start: Start = "told",
    fitted_on: date | None = None,
    sharpen: bool = True,
) -> Forecast:
    """Return how worn a part is, when it will reach its limit, the verdict, and why.

    For each log rate on a grid (a normal, a share of it wider) and each story of the start (new, used, another part) a
    Gaussian filter runs over (wear, biases); the prediction is the closed mixture P(remaining <= x) = sum_k w_k
    Phi((m_k + r_k x - h) / sqrt(V_k + r_k^2 q(x))), guarded so that a worse last reading never tells a better story.

    Args:
        law: How this kind of part wears. [its own unit]
        readings: What was read, any order. [law's unit; exposure in the driver's unit]
        use: Use a week. [driver's unit a week]
        today: The day of the question. [-]
        exposure_now: Use since fitting up to today; None = not known. [driver's unit]
        start: How the fitting is known: here (fitted by us), told, used (fitted used) or unknown. [-]
        fitted_on: The day of fitting, where known. [-]
        sharpen: Whether the reasons say which further reading would narrow the forecast most; whoever knows the instruments
            at hand asks `worth_of_reading` instead. [-]

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
        >>> round(seen.chance_past_limit, 1)
        0.5

    Source: Filter by nodes, closed mixture and guard: docs/methods/wear.md. Cut-off normal moments: standard results.
    """
    refuse_bad_input(law, readings, use, today, exposure_now)
    found = _judged(law, tuple(readings), use, today, exposure_now, start, fitted_on)
    if law.clock or not sharpen:
        return found
    # Before the last line, which is the verdict's own.
    *others, last = found.reasons
    ordered = sorted(readings, key=lambda r: r.day)
    return replace(found, reasons=(*others, Reason(sharpest(found, ordered), source="computed"), last))


# A day's work asks the same of a part again and again: at its reading, on each page, when the bike leaves.
@with_figures
@lru_cache(512)
def _judged(
    law: WearLaw,
    readings: tuple[GaugeReading, ...],
    use: RateOfUse,
    today: date,
    exposure_now: float | None,
    start: Start,
    fitted_on: date | None,
) -> Forecast:
    if law.driver == "days":
        use = RateOfUse(7.0, 0.0)
    ordered = sorted(readings, key=lambda r: r.day)
    seen = sift(law, ordered, use, today, exposure_now, start, fitted_on)
    return _forecast(law, ordered, use, today, seen)


def sift(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    today: date,
    exposure_now: float | None = None,
    start: Start = "told",
    fitted_on: date | None = None,
) -> JudgedPart:
    """Run the filter over readings in order of day, then let the part grow to today."""
    way = steps(law, readings, use, today, exposure_now, fitted_on)
    part = part_of(law, readings, way, start)
    cloud, slipped, evidence, before, slips = until_last(part, NODES)
    guarded = law_of(part, cloud, slipped, LEAST_OF_NODE)
    good = [1.0 - float(s) for s in slips]
    odds = None
    if readings:
        odds = float(log_odds_same(part, cloud, slipped, before)) if len(readings) > 1 else None
        cloud, last_slip, more = _read_last(part, cloud, slipped)
        good.append(1.0 - last_slip)
        evidence += more
    new, used, other = (float(cloud.weight[cloud.story == s].sum()) for s in range(3))
    return JudgedPart(
        part, own_scale(law), way, guarded, cloud, tuple(good), (new, used, other), float(hub_share(part, cloud)),
        float(evidence), odds,
    )  # fmt: skip


def _read_last(part: PartArrays, cloud: Cloud, slipped: Array) -> tuple[Cloud, float, float]:
    """What the last reading itself leaves of belief as of now, the chance that it was a slip, the evidence it adds."""
    last = len(part.low) - 1
    expected, variance, _ = looked_at(part, cloud, last)
    slip, flat = slip_of(part, last, len(cloud.weight), slipped)
    total, _, _, slips, _ = told(expected, variance, part.low[last], part.high[last], slip, flat)
    slipped_now = float((cloud.weight * total * slips).sum() / (cloud.weight * total).sum())
    if len(part.marks):
        # Said as a doubt, but never used against a reading of a safety part.
        part = part._replace(misread=np.zeros(last + 1), again=np.zeros(last + 1))
    cloud, _, more = read(part, cloud, last, slipped)
    mark = reached(part, float(part.low[last]))
    weight, wear, var = cloud.weight, cloud.mean[0], cloud.cov[0, 0]
    if mark > -np.inf:
        weight, wear, var = above(weight, wear, var, np.full(len(weight), mark))
        weight = weight / weight.sum()
    x = part.use[last + 1]
    spread = part.use_var[last + 1] + float(unevenness(np.array(x), part.noise, part.slow_sd, part.slow_use))
    mean, cov = cloud.mean.copy(), cloud.cov.copy()
    mean[0], cov[0, 0] = wear + cloud.rate * x, var + cloud.rate**2 * spread
    return cloud._replace(weight=weight, mean=mean, cov=cov), slipped_now, float(more)


def _forecast(
    law: WearLaw, readings: Sequence[GaugeReading], use: RateOfUse, today: date, seen: JudgedPart
) -> Forecast:
    scale, guarded, width = seen.scale, seen.law, law.width
    marks = _marks(law, scale)
    warned, past, *unsafe = map(float, narrowed(chance_of(guarded, marks, np.zeros(len(marks))), width))
    grid = grid_of(guarded)
    used = seen.way.at[-1] if seen.way.at else 0.0
    asked = integral(width * probit(LEVELS))
    laid = chance_of(guarded, np.repeat(marks, len(grid)), np.tile(grid, len(marks))).reshape(len(marks), -1)
    roads = use_at(guarded, marks, asked, grid, laid, PRECISION)
    left, days = [], []
    for mark, more, by_use in zip(marks, roads, laid, strict=True):
        left.append(
            _spread(
                unbent(bent(np.array([used]), law.bend) + more, law.bend) - used if law.bend != 1 else more
            )
        )
        known = None if law.clock else by_use
        days.append(Days(guarded, float(mark), known, use, width, used, law.bend))
    verdict = verdict_by_chance(
        law,
        measured=bool(readings) or law.clock,
        warn=warned,
        limit=past,
        soon=float(days[1].chance(np.array([VISIT_DAYS]))[0]),
        danger=unsafe[0] if unsafe else 0.0,
    )
    before = life_before(law)
    doubts = (
        seen.way.doubts
        + _words.unknown_before(law, seen.way, seen.started)
        + _words.doubts(law, readings, seen.good, seen.started, seen.like_hub)
    )
    belief = _belief(seen)
    return Forecast(
        law=law,
        day=today,
        present=to_bench(_spread(wear_at(guarded, asked)), scale),
        rate_a_thousand=_rate_spread(np.array(belief.weight), np.array(belief.rate), scale),
        chance_past_warn=max(warned, past),
        chance_past_limit=past,
        to_warn=left[0],
        to_limit=left[1],
        day_at_warn=days[0].spread(today, LEVELS),
        day_at_limit=days[1].spread(today, LEVELS),
        next_check_day=next_check(law, today, past, lambda level: float(days[1].until(np.array([level]))[0])),
        verdict=verdict,
        reasons=_words.reasons(
            law, readings, seen.way, use, before, left[1], verdict, past, seen.started, bool(doubts)
        ),
        doubts=tuple(dict.fromkeys(doubts)),
        evidence=seen.evidence,
        belief=belief,
        started=seen.started,
        like_hub=seen.like_hub,
        odds_same=None if seen.log_odds_same is None else exp(seen.log_odds_same),
        chance_past_danger=unsafe[0] if unsafe else 0.0,
        to_danger=left[2] if unsafe else None,
        day_at_danger=days[2].spread(today, LEVELS) if unsafe else None,
    )


def _marks(law: WearLaw, scale: OwnScale) -> Array:
    """Warning, limit and, where there is one, the figure from which it is not ridden; on the own scale."""
    third = [] if law.danger is None else [(law.danger - scale.new) * scale.per_unit]
    return np.array([scale.warn, 1.0, *third])


def narrowed(chance: Array, width: float) -> Array:
    """Chances as they proved to be, where intervals proved *width* times as wide; 0 and 1 stay."""
    sure = (chance <= 0.0) | (chance >= 1.0)
    return np.where(sure, chance, integral(probit(chance) / width)) if width != 1.0 else chance


def _belief(seen: JudgedPart) -> Belief:
    """The mixture that the figures rest on: what the last reading left, or the node that the guard held it to."""
    stack, cloud = seen.law.stack, seen.cloud
    weight, rate, wear, var = cloud.weight, cloud.rate, cloud.mean[0], cloud.cov[0, 0]
    nodes = len(stack.least)
    if nodes > 2:
        alone = [
            float((integral((stack.wear[a:b] - 1.0) / np.sqrt(stack.var[a:b])) * stack.weight[a:b]).sum())
            for a, b in zip(stack.first[:-1], stack.first[1:], strict=True)
        ]
        worst = int(np.argmax(stack.worse * np.array(alone)))
        if worst < nodes - 2 and stack.worse * (alone[worst] - alone[-2]) > AT_MARK:
            here = slice(stack.first[worst], stack.first[worst + 1])
            weight, rate, wear, var = stack.weight[here], stack.rate[here], stack.wear[here], stack.var[here]
    keep = weight > LEAST_OF_NODE
    weight = weight[keep] / weight[keep].sum()
    root = np.sqrt(np.maximum(var[keep], 1e-8))
    return Belief(
        tuple(map(float, rate[keep])),
        tuple(map(float, weight)),
        tuple(map(float, wear[keep])),
        tuple(map(float, root)),
    )


@lru_cache(512)
def life_before(law: WearLaw) -> Interval:
    """Return the use from new within which four in five such parts reach their limit, before any reading."""
    way = Steps((0.0,), (0.0,), (0.0,), True, ())
    part = part_of(law, [], way, "here")
    guarded = law_of(part, begin(part, NODES), np.zeros(0), LEAST_OF_NODE)
    grid = grid_of(guarded)
    laid = chance_of(guarded, np.ones(len(grid)), grid)[None]
    ends = unbent(use_at(guarded, np.ones(1), LEVELS[[0, 4]], grid, laid, PRECISION)[0], law.bend)
    return Interval(float(ends[0]), float(ends[1]))


def _spread(five: Array) -> Spread:
    a, b, c, d, e = (float(v) for v in np.sort(five))
    return Spread(c, Interval(b, d), Interval(a, e))


def to_bench(spread: Spread, scale: OwnScale) -> Spread:
    """Own scale to the unit of the bench. What is measured from 0 up ends at 0: no lining is thinner."""

    ends_at_0 = min(scale.new, scale.bench(1.0)) >= 0.0

    def one(wear: float) -> float:
        return max(scale.bench(wear), 0.0) if ends_at_0 else scale.bench(wear)

    def turned(interval: Interval) -> Interval:
        ends = one(interval.low), one(interval.high)
        return Interval(min(ends), max(ends))

    return Spread(one(spread.median), turned(spread.half), turned(spread.wide))


def _rate_spread(weight: Array, rate: Array, scale: OwnScale) -> Spread:
    """Spread of the rate as a lognormal with the mixture's mean and variance of the logarithm."""
    log_rate = np.log(rate)
    centre = float((weight * log_rate).sum())
    sd = float(np.sqrt(max((weight * (log_rate - centre) ** 2).sum(), 0.0)))
    z = np.array([-1.2815515655446004, -0.6744897501960817, 0.0, 0.6744897501960817, 1.2815515655446004])
    return _spread(np.exp(centre + sd * z) * 1000 / abs(scale.per_unit))
