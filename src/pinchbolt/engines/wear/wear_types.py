"""What the wear engine is asked and what it answers."""

import re
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from pinchbolt.values import DaySpread, Interval, Reason, Spread, Verdict
from pinchbolt.values.ahead import danger_words

Driver = Literal["km", "h", "days"]
# How it is known when a part was fitted: by a done line of ours, by somebody's word, fitted used, or not at all.
Start = Literal["here", "told", "used", "unknown"]


@dataclass(frozen=True, slots=True)
class Stories:
    """How likely a part was not new when it was fitted, or is another one than on record, and its wear then. Own scale.

    Common practice, no source: rows of the wear priors (`[[belief]]`), which are laid over these.
    """

    here: tuple[float, float] = (0.01, 0.01)  # used at fitting, another part: fitted by a done line
    told: tuple[float, float] = (0.05, 0.03)  # by the owner's word, or second-hand
    used: float = 0.03  # another part, where it is known that it was fitted used
    used_wear: tuple[float, float] = (0.45, 0.40)  # mean, sd
    other_wear: tuple[float, float] = (0.60, 0.60)


@dataclass(frozen=True, slots=True)
class WearLaw:
    """How one kind of part wears, in the unit that the bench reads.

    `new`, `new_spread`, `warn`, `limit` in `unit`; `median_life` is the exposure (in `driver`'s unit) from new to
    `limit` that half of such parts pass; `life_log_sd` the spread of its natural logarithm from part to part (four in five
    lie within 1.28 of it), of which `part_log_sd` is from part to part on one bike (None: 0.18 of 0.46).

    Growth is uneven: `noise` (None: 4 % of the median life) is fast unevenness, `slow_sd` the relative spread of slow
    unevenness (weather, seasons) that lasts about `slow_use` (None: a sixth of the median life), both in the driver's
    unit. `misread` is the share of readings that are slips. A `clock` is time or distance itself: it needs no gauge; what
    is `counted` from records is exact at its marks.

    Of the lives a share `tail` spreads `tail_factor` times as wide, and a share `hub` is of another kind that lasts
    `hub_lives` times as long (chains on a gear hub, unlabelled). A new part beds in by `run_in` (unit) over `run_km`.
    Growth goes with use to the power `bend`, alike at 3,000 km. `width`: how much wider intervals proved to be.
    `danger`: past the limit, where such a part is no longer ridden; in `unit`.
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
    prior_source: str = ""
    prior_row: str = ""
    use_class: str = ""
    limit_by: Literal["table", "marking", "policy"] = "table"
    part_log_sd: float | None = None
    noise: float | None = None
    slow_sd: float = 0.15
    slow_use: float | None = None
    misread: float = 0.02
    clock: bool = False
    counted: bool = False
    tail: float = 0.10
    tail_factor: float = 2.2
    hub: float = 0.0
    hub_lives: float = 3.0
    run_in: float = 0.0
    run_km: float = 200.0
    bend: float = 1.0
    width: float = 1.0
    stories: Stories = Stories()
    danger: float | None = None

    @property
    def called(self) -> str:
        """The part as people say it: its kind, without what tells its row from others ("tyre, city and e-bike" is a tyre)."""
        return re.split(r",| \(", self.part)[0]


@dataclass(frozen=True, slots=True)
class GaugeError:
    """Known error of an instrument: shown = true + bias + growth x exposure / 1000 + noise. All in the law's unit.

    `growth` is what a thousand (km, h) of the part's use add to the bias: roller play on a two-point chain gauge.
    `stories`: what the instrument may be where that is not known (weight, bias, its sd; at most two), in place of `bias`.
    """

    bias: float
    bias_sd: float
    sd: float
    growth: float = 0.0
    growth_sd: float = 0.0
    stories: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """One reading. A value has `shown.low == shown.high`; a go/no-go result is an interval, open ends infinite.

    `exposure` is what the part had been used since it was fitted, in the law's driver unit; None = nobody knows.
    `exposure_share` is the relative standard deviation of the use since the reading before (ride files 0.02,
    owner's word 0.15).
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
class Belief:
    """What is believed now, as a mixture: one entry a wear rate. On the part's own scale (0 new, 1 at the limit).

    `rate` a unit of use, `weight` adding up to 1, `wear` and `wear_sd` the wear now if that rate is the true one.
    """

    rate: tuple[float, ...]
    weight: tuple[float, ...]
    wear: tuple[float, ...]
    wear_sd: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the readings say. Wear in the law's unit, remaining use in the driver's unit (negative: passed already).

    `rate_a_thousand` is always above 0: wear in the law's unit that a thousand of the driver's unit bring. `started`: chances
    that it was new at fitting, used, or is another part than on record. `like_hub`: chance that it is of the other kind.
    `odds_same` to 1 that the last reading is of the part read before (None: fewer than two readings). `to_danger` and
    `day_at_danger` are None where the law has no such figure.
    """

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
    belief: Belief | None = field(default=None, repr=False)
    started: tuple[float, float, float] = (1.0, 0.0, 0.0)
    like_hub: float = 0.0
    odds_same: float | None = None
    chance_past_danger: float = 0.0
    to_danger: Spread | None = None
    day_at_danger: DaySpread | None = None

    @property
    def danger_said(self) -> str:
        """Where a part past its limit is no longer ridden, and how far off that is; "" where no such figure is known."""
        law, left = self.law, self.to_danger
        if law.danger is None or left is None:
            return ""
        return danger_words(law.danger, law.unit, self.chance_past_danger, left.median, law.driver)


@dataclass(frozen=True, slots=True)
class CostOfWaiting:
    """What leaving it until the next visit is expected to cost more than doing it now; below 0: leaving it saves.

    `low` and `high` hold four cases in five. Money in the workshop's currency, to the penny. `lasts` False: likelier than not it
    is worn out before then, so the sum is no advice. `says_more`: the words say more than the sum does.
    """

    expected: Decimal
    low: Decimal
    high: Decimal
    words: str
    reasons: tuple[Reason, ...]
    lasts: bool = True
    says_more: bool = False


@dataclass(frozen=True, slots=True)
class SamePart:
    """Whether the part on the bike can be the one on record: `odds_same` to 1 by the readings alone.

    `chance_same` also takes the chance of a change in silence (`prior_changed`) into account.
    """

    odds_same: float
    prior_changed: float
    chance_same: float
    words: str
    reasons: tuple[Reason, ...]
