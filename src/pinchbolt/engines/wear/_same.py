"""Whether the part on the bike can be the one on record, by the weight of the readings under either story."""

from collections.abc import Sequence
from datetime import date
from math import exp, log

import numpy as np

from pinchbolt.engines.wear._filter import Cloud
from pinchbolt.engines.wear._judge import LEAST_SD, instrument_states, run_filter
from pinchbolt.engines.wear._next_part import evidence_on_new_part, rate_of_next, since_fitting
from pinchbolt.engines.wear._refuse import refuse_bad_input
from pinchbolt.engines.wear._scale import OwnScale, own_scale
from pinchbolt.engines.wear._words import amount, shown_words
from pinchbolt.engines.wear.types import GaugeReading, RateOfUse, SamePart, WearLaw
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason

PRIOR_CHANGED = 0.10  # chance that a part was changed in silence between two visits. Assumption.


def same_part(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    *,
    prior_changed: float = PRIOR_CHANGED,
    fitted_on: date | None = None,
) -> SamePart:
    """Return the odds that the part last read is the one on record, against a new one fitted since the reading before.

    log odds = log evidence of all readings under the record - log evidence without the last - log mean over the fitting
    point of the last reading on a new part, whose rate is the bike's, blurred by the spread from part to part.

    Args:
        law: How this kind of part wears. [its own unit]
        readings: Two or more readings, the last one in question. [law's unit]
        use: Use a week. [driver's unit a week]
        prior_changed: Chance of a change that nobody wrote down. [-]
        fitted_on: The day of fitting, where known. [-]

    Returns:
        Odds by the readings, chance with the prior, in words and with reasons. [-]

    Raises:
        InputRefused: Fewer than two readings, or a prior outside 0 to 1.

    Valid for: The other story is a new part. A part swapped for another used one is not tested.

    Example:
        >>> from pinchbolt.engines.wear import GaugeError
        >>> from pinchbolt.values import Interval, Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source", noise=120, slow_use=500)
        >>> rule = GaugeError(0.0, 0.03, 0.03)
        >>> seen = [GaugeReading(date(2030, 1, 1), Interval(0.55, 0.55), "caliper", rule, 2200.0, 0.15),
        ...         GaugeReading(date(2030, 4, 1), Interval(0.12, 0.12), "caliper", rule, 3000.0, 0.15)]
        >>> same_part(law, seen, RateOfUse(70.0, 0.5)).odds_same < 0.02
        True

    Source: Comparison by evidence: docs/methods/wear.md.
    """
    if len(readings) < 2:
        raise InputRefused(
            f"{len(readings)} reading of the {law.part}: two are needed to ask whether it is the same. Take one more."
        )
    if not 0 < prior_changed < 1:
        raise InputRefused(
            f"chance of a change in silence is {prior_changed:g}: it must lie between 0 and 1. Write 10 % as 0.10."
        )
    ordered = sorted(readings, key=lambda r: r.day)
    last = ordered[-1]
    refuse_bad_input(law, ordered, use, last.day, None)
    if law.driver == "days":
        use = RateOfUse(7.0, 0.0)
    whole = run_filter(law, ordered, use, last.day, last.exposure, True, fitted_on)
    earlier = run_filter(law, ordered[:-1], use, ordered[-2].day, ordered[-2].exposure, True, fitted_on)
    under_record = float(whole.before[-1] - whole.before[-2])
    stretch = whole.steps.use[len(ordered) - 1], whole.steps.var[len(ordered) - 1]
    under_new = _on_a_new_part(law, last, earlier.cloud, stretch, ordered[:-1])
    log_odds = float(np.clip(under_record - under_new, -50, 50))
    odds = exp(log_odds)
    chance = 1 / (1 + prior_changed / (1 - prior_changed) / odds)
    return SamePart(
        odds, prior_changed, chance, _words(law, odds), _reasons(law, ordered, odds, prior_changed, chance)
    )


def _on_a_new_part(
    law: WearLaw,
    last: GaugeReading,
    earlier: Cloud,
    stretch: tuple[float, float],
    before: Sequence[GaugeReading],
) -> float:
    """Log evidence of the last reading on a new part of this bike."""
    scale = own_scale(law)
    bias, bias_sd = _bias_known_by_then(last, earlier, before, scale)
    shown = scale.interval(last.shown)
    used = since_fitting(np.array([stretch[0]])), since_fitting(np.array([stretch[1] ** 0.5])) ** 2
    return float(
        evidence_on_new_part(
            rate_of_next(
                earlier, np.array([scale.mu]), np.array([scale.sigma]), np.array([scale.part_sigma])
            ),
            np.array([[0.0, bias]]),
            np.array([[max(scale.start_sd, LEAST_SD), bias_sd]]),
            used,
            (np.array([shown.low]), np.array([shown.high])),
            np.array([max(abs(last.error.sd * scale.per_unit), LEAST_SD)]),
            scale.unevenness,
            scale.misread,
        )[0]
    )


def _bias_known_by_then(
    last: GaugeReading, earlier: Cloud, before: Sequence[GaugeReading], scale: OwnScale
) -> tuple[float, float]:
    """Constant bias of the last reading's instrument, with what the earlier readings taught of it."""
    for i, state in enumerate(instrument_states(before, scale)):
        if state.instrument == last.instrument and not state.grows:
            weight, mean, var = earlier.weight[0], earlier.mean[1 + i][0], earlier.cov[1 + i][1 + i][0]
            centre = float((weight * mean).sum())
            return centre, float(np.sqrt((weight * (var + (mean - centre) ** 2)).sum()))
    return last.error.bias * scale.per_unit, abs(last.error.bias_sd * scale.per_unit)


def _words(law: WearLaw, odds: float) -> str:
    if odds >= 3:
        return f"The readings fit the {law.part} on record: {amount(odds)} to 1."
    if odds > 1 / 3:
        return f"The readings do not tell whether this is the {law.part} on record."
    return f"The readings fit a new {law.part} better than the one on record: {amount(1 / odds)} to 1."


def _reasons(
    law: WearLaw, readings: Sequence[GaugeReading], odds: float, prior: float, chance: float
) -> tuple[Reason, ...]:
    one, two = readings[-2], readings[-1]
    lines = [
        Reason(
            f"{one.day.isoformat()}: {shown_words(one.shown, law.unit)}; {two.day.isoformat()}: "
            f"{shown_words(two.shown, law.unit)}."
        ),
        Reason(_words(law, odds)),
        Reason(
            f"With a change in silence in {prior:.0%} of visits, the chance that it is the one on "
            f"record is {chance:.0%}.",
            source="assumption",
        ),
        Reason(
            f"One reading in {1 / law.misread:.0f} is a slip, so one reading proves little: ask the "
            "owner, or read again."
        ),
    ]
    return tuple(lines) if abs(log(odds)) < 6 else (*lines[:3],)
