"""Laws, gauges and readings that the wear tests share."""

from collections.abc import Sequence
from datetime import date, timedelta
from math import inf
from types import SimpleNamespace

from pinchbolt.engines.wear import GaugeError, GaugeReading, RateOfUse, WearLaw
from pinchbolt.values import Interval, Verdict

TODAY = date(2030, 6, 1)
USE = RateOfUse(70.0, 0.5)
CHAIN = WearLaw(
    id="chain-elongation-9to10",
    part="chain",
    quantity="elongation",
    unit="percent",
    new=0.02,
    new_spread=0.04,
    warn=0.5,
    limit=0.75,
    direction="up",
    driver="km",
    median_life=3000.0,
    life_log_sd=0.46,
    at_limit=Verdict.NEXT_VISIT,
    safety=False,
    source="common practice, no source",
    prior_source="common practice, no source",
    prior_row="wear-priors/chain",
    use_class="mixed",
    part_log_sd=0.18,
    noise=120.0,
    slow_use=500.0,
)
ROTOR = WearLaw(
    id="rotor-thickness-1.8",
    part="rotor",
    quantity="thickness",
    unit="mm",
    new=1.80,
    new_spread=0.05,
    warn=1.60,
    limit=1.50,
    direction="down",
    driver="km",
    median_life=13000.0,
    life_log_sd=0.5,
    at_limit=Verdict.BEFORE_IT_LEAVES,
    safety=True,
    source="common practice, no source",
)
THREE_POINT = GaugeError(0.0, 0.02, 0.02)
TWO_POINT = GaugeError(0.12, 0.05, 0.04)
RULE = GaugeError(0.0, 0.02, 0.08)
CALIPER = GaugeError(0.0, 0.03, 0.03)
MICROMETER = GaugeError(0.0, 0.005, 0.015)
BELOW, BETWEEN, PAST = Interval(-inf, 0.5), Interval(0.5, 0.75), Interval(0.75, inf)


def value(at: float) -> Interval:
    """A reading that is a number."""
    return Interval(at, at)


def reading(
    km: float | None,
    shown: Interval,
    error: GaugeError = THREE_POINT,
    *,
    days_ago: int = 0,
    instrument: str = "three-point gauge",
    share: float = 0.02,
) -> GaugeReading:
    """One reading, some days before TODAY."""
    return GaugeReading(TODAY - timedelta(days=days_ago), shown, instrument, error, km, share)


def row(**facts: object) -> SimpleNamespace:
    """A row of the limits table."""
    usual: dict[str, object] = {
        "id": "row",
        "part": "part",
        "quantity": "thing",
        "unit": "mm",
        "direction": "up",
        "at_limit": Verdict.NEXT_VISIT,
        "safety": False,
        "source": "common practice, no source",
    }
    return SimpleNamespace(**(usual | facts))


def steadily(
    readings: Sequence[tuple[float, Interval]], error: GaugeError, instrument: str
) -> list[GaugeReading]:
    """Readings 60 days apart, the last one today."""
    last = len(readings) - 1
    return [
        reading(km, shown, error, days_ago=60 * (last - i), instrument=instrument)
        for i, (km, shown) in enumerate(readings)
    ]
