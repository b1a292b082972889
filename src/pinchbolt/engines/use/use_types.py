"""What the use engine is asked and what it answers: how far a part was used, along the path its fittings led.

A span from a day to a day holds the days after the first up to and with the last: two spans that meet in a day share
nothing. What was ridden on the day of a change therefore counts for what was fitted before it: the ride to the shop.
"""

from dataclasses import dataclass
from datetime import date

from pinchbolt.values import Reason


@dataclass(frozen=True, slots=True)
class Stretch:
    """Distance of one host (bike or indoor trainer) between two days: km, relative standard deviation, how it is known.

    Start and end on one day is the distance of a single ride on that day. `shared` is True where the error is the same in all
    stretches of this host that are known so: a wheel's circumference set wrong, one statement cut into pieces.
    """

    host: str
    start: date
    end: date
    km: float
    sd_share: float
    known: str
    shared: bool = False


@dataclass(frozen=True, slots=True)
class Difference:
    """A statement beside the ride files of the same days: their km, the days they leave open, and whether both agree."""

    said: Stretch
    files_km: float
    free_days: int
    agree: bool
    reason: Reason


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What counts where files and statements stand beside each other, and how they compare."""

    stretches: tuple[Stretch, ...]
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class Stay:
    """A part being on a host from a day to a day; `end` None = still there."""

    host: str
    start: date
    end: date | None


@dataclass(frozen=True, slots=True)
class Use:
    """Use over a span: km, its standard deviation, the days for which nothing is known, and how it is known.

    `days` are those on which the part was on a bike or trainer; `km` says nothing about the `days_unknown` among them.
    """

    km: float
    sd: float
    days: int
    days_unknown: int
    known: tuple[str, ...]
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class WeeklyUse:
    """Distance a week as a lognormal: median, spread of its logarithm, and from what it was taken.

    `season` holds what a week of each month is of a usual one, January first; empty where less than a year is known.
    `trend_a_year` is how much more or less was ridden in the last year than in the one before, as a share. `silent_weeks` are those
    since the newest day of which anything is known. `of_year_km` is the median of a usual week of a whole year, whatever the season
    of the coming months.
    """

    median_km: float
    log_sd: float
    words: str
    weeks_known: float = 0.0
    season: tuple[float, ...] = ()
    trend_a_year: float | None = None
    silent_weeks: float = 0.0
    of_year_km: float = 0.0
