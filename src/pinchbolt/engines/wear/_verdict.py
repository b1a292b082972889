"""The verdict by the chance of being past the limit, and the day of the next look."""

from collections.abc import Callable
from datetime import date, timedelta

from pinchbolt.engines.wear.wear_types import WearLaw
from pinchbolt.values import Verdict

Curve = Callable[[float], float]

# A count or a clock exactly at its mark has reached it: half, less what rounding takes.
REACHED = 0.5 - 1e-3
SAFETY_CHANCE = 0.05  # a safety part is called at this chance of being past its limit
CALL_CHANCE = 0.20  # any other part is looked at again when one in five would be past its limit
LONGEST_CHECK = 365  # days: a year without a look is the longest. Common practice, no source.


def milder(one: Verdict, other: Verdict) -> Verdict:
    """The better of two verdicts."""
    return min(one, other, key=lambda v: v.rank)


def verdict_by_chance(
    law: WearLaw, *, measured: bool, warn: float, limit: float, soon: float, danger: float = 0.0
) -> Verdict:
    """Return the verdict from the chances of being past warn and limit now, and past the limit by the next visit.

    A part that is more likely past its limit than not gets the limit's verdict; a safety part that may be past it
    (one chance in twenty) is dealt with before it leaves. What nobody measured is never called unsafe: it is to be
    measured; what was measured and is likelier past *danger* than not is. Nothing is overridden after this: a reading of a
    safety part past its limit has made that chance 1.
    """
    if measured and danger >= REACHED:
        return Verdict.UNSAFE
    if limit >= REACHED:
        return law.at_limit if measured else milder(law.at_limit, Verdict.BEFORE_IT_LEAVES)
    if law.safety and limit >= SAFETY_CHANCE:
        return milder(law.at_limit, Verdict.BEFORE_IT_LEAVES if measured else Verdict.NEXT_VISIT)
    if warn < REACHED:
        return Verdict.SOUND
    late = law.at_limit.rank > Verdict.NEXT_VISIT.rank
    return Verdict.NEXT_VISIT if late and soon >= 0.5 else Verdict.WATCH


def next_check(law: WearLaw, today: date, limit: float, days: Curve) -> date:
    """Return the day by which the part should be looked at again: before it is past its limit with more than the chance
    allowed (5 % for a safety part, else 20 %), within a year.

    *days*: the days until the limit is passed with a chance.
    """
    level = SAFETY_CHANCE if law.safety else CALL_CHANCE
    if limit >= level:
        return today
    return today + timedelta(days=max(int(min(days(level), LONGEST_CHECK) + 0.01), 1))
