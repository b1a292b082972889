"""What the wear engine is asked and what it answers."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from pinchbolt.values import DaySpread, Interval, Reason, Spread, Verdict

Driver = Literal["km", "h", "days"]


@dataclass(frozen=True, slots=True)
class WearLaw:
    """How one kind of part wears, in the unit that the bench reads.

    `new`, `new_spread`, `warn`, `limit` in `unit`; `median_life` is the exposure (in `driver`'s unit) from new to `limit`
    that half of such parts pass; `life_log_sd` the spread of its natural logarithm from part to part.
    """

    id: str
    part: str
    quantity: str
    unit: str
    new: float
    new_spread: float
    warn: float
    limit: float
    direction: Literal["up", "down"]
    driver: Driver
    median_life: float
    life_log_sd: float
    at_limit: Verdict
    safety: bool
    source: str


@dataclass(frozen=True, slots=True)
class GaugeError:
    """Known error of an instrument: shown = true + bias + noise. All in the law's unit."""

    bias: float
    bias_sd: float
    sd: float


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """One reading. A value has `shown.low == shown.high`; a go/no-go result is an interval, open ends infinite.

    `exposure` is what the part had been used since it was fitted, in the law's driver unit; None = nobody knows.
    `exposure_share` is the relative standard deviation of the use since the reading before (ride files 0.02, owner's word 0.15).
    """

    day: date
    shown: Interval
    instrument: str
    error: GaugeError
    exposure: float | None
    exposure_share: float


@dataclass(frozen=True, slots=True)
class RateOfUse:
    """Use a week in the driver's unit, as a lognormal: median and spread of its natural logarithm."""

    median_a_week: float
    log_sd: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the readings say. Wear in the law's unit, remaining use in the driver's unit (negative: passed already)."""

    law: WearLaw
    day: date
    present: Spread
    rate_a_thousand: Spread
    chance_past_warn: float
    chance_past_limit: float
    to_warn: Spread
    to_limit: Spread
    day_at_warn: DaySpread
    day_at_limit: DaySpread
    next_check_day: date | None
    verdict: Verdict
    reasons: tuple[Reason, ...]
    doubts: tuple[str, ...]
    evidence: float
