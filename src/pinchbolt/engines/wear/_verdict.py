"""The verdict by the chance of being past the limit, and the day of the next look."""

from datetime import date, timedelta

import numpy as np

from pinchbolt.engines.wear._predict import Curve, quantiles
from pinchbolt.engines.wear._scale import OwnScale
from pinchbolt.engines.wear.types import GaugeReading, WearLaw
from pinchbolt.values import Verdict

SAFETY_CHANCE = 0.05  # a safety part is called at this chance of being past its limit
CALL_CHANCE = 0.20  # any other part is looked at again when one in five would be past its limit
LONGEST_CHECK = 365  # days: a year without a look is the longest. Common practice, no source.


def milder(one: Verdict, other: Verdict) -> Verdict:
    """The better of two verdicts."""
    return min(one, other, key=lambda v: v.rank)


def verdict_by_chance(
    law: WearLaw, *, measured: bool, last_past: bool, warn: float, limit: float, soon: float
) -> Verdict:
    """Return the verdict from the chances of being past warn and limit now, and past the limit by the next visit.

    A part that is more likely past its limit than not gets the limit's verdict; a safety part that may be past it
    (one chance in twenty) is dealt with before it leaves; its last reading past the limit is never put down to a slip.
    What nobody measured is never called unsafe: it is to be measured.
    """
    if law.safety and last_past:
        return law.at_limit
    if limit >= 0.5:
        return law.at_limit if measured else milder(law.at_limit, Verdict.BEFORE_IT_LEAVES)
    if law.safety and limit >= SAFETY_CHANCE:
        return milder(law.at_limit, Verdict.BEFORE_IT_LEAVES if measured else Verdict.NEXT_VISIT)
    if warn < 0.5:
        return Verdict.SOUND
    late = law.at_limit.rank > Verdict.NEXT_VISIT.rank
    return Verdict.NEXT_VISIT if late and soon >= 0.5 else Verdict.WATCH


def last_is_past(reading: GaugeReading, scale: OwnScale, used: float) -> bool:
    """Return whether a reading by itself, its gauge's known error taken off, lies past the limit."""
    error = reading.error
    bias = error.bias + error.growth * used / 1000
    return scale.interval(reading.shown).low - bias * scale.per_unit >= 1.0


def next_check(law: WearLaw, today: date, limit: float, curve: Curve) -> date:
    """Return the day by which the part should be looked at again: before it is past its limit with more than the chance
    allowed (5 % for a safety part, else 20 %), within a year."""
    level = SAFETY_CHANCE if law.safety else CALL_CHANCE
    if limit >= level:
        return today
    one = np.full((1, 1), level)
    days = quantiles(curve, one, 0 * one + 30.0, 0 * one, 0 * one + LONGEST_CHECK)
    return today + timedelta(days=max(int(days[0, 0] + 0.01), 1))
