"""Rows of the trade's tables as laws of wear, for tests that ask what a mechanic asks."""

from functools import cache
from math import inf

from pinchbolt.engines.wear import (
    USE_CLASSES,
    Forecast,
    GaugeError,
    GaugeReading,
    RateOfUse,
    Start,
    WearLaw,
    judge,
    law_for,
)
from pinchbolt.reference.loader import tables
from pinchbolt.values import Interval
from tests.engines.wear.cases import TODAY

RULE, CALIPER = (
    GaugeError(0.0, 0.02, 0.08),
    GaugeError(0.0, 0.03, 0.03),
)  # percent of a chain; common practice, no source
TWO_POINT, THREE_POINT = GaugeError(0.12, 0.05, 0.04), GaugeError(0.0, 0.02, 0.02)
WEEK = RateOfUse(70.0, 0.5)


@cache
def law(row: str, speeds: int | None = None) -> WearLaw:
    """How a row of the limits wears in mixed use (or the nearest use that it has a life for)."""
    for use in ("mixed", *USE_CLASSES):
        found = law_for(tables().limits[row], tables().wear_priors, speeds=speeds, use_class=use)
        if found is not None:
            return found
    raise LookupError(row)


@cache
def laws() -> tuple[WearLaw, ...]:
    """Every row of the limits that wears by a law."""
    covered = [row for prior in tables().wear_priors["prior"] for row in prior["covers"]]
    return tuple(law(row) for row in covered if law_or_none(row) is not None)


@cache
def law_or_none(row: str) -> WearLaw | None:
    """The same, or None for rows without a law."""
    try:
        return law(row)
    except LookupError:
        return None


def usual_error(of: WearLaw) -> GaugeError:
    """The row's own instrument."""
    return GaugeError(0.0, 0.0, tables().limits[of.id].sd or 0.02 * abs(of.limit - of.new))


def shown(low: float | None, high: float | None = None) -> Interval:
    """A value, or an interval with one end left out."""
    if high is None and low is not None:
        return Interval(low, low)
    return Interval(-inf if low is None else low, inf if high is None else high)


def ask(
    of: WearLaw,
    km: float | None,
    seen: Interval | None,
    error: GaugeError | None = None,
    start: Start | None = None,
) -> Forecast:
    """The forecast of one part by one reading, today."""
    looks = (
        [] if seen is None else [GaugeReading(TODAY, seen, "instrument", error or usual_error(of), km, 0.15)]
    )
    return judge(
        of, looks, WEEK, TODAY, exposure_now=km, start=start or ("unknown" if km is None else "told")
    )
