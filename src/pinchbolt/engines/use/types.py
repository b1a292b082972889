"""What the use engine is asked and what it answers: how far a part has been used, along the path its fittings led through."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Stretch:
    """Distance of one host (bike or indoor trainer) between two days: km, relative standard deviation, how it is known."""

    host: str
    start: date
    end: date
    km: float
    sd_share: float
    known: str


@dataclass(frozen=True, slots=True)
class Stay:
    """A part being on a host from a day to a day; `end` None = still there."""

    host: str
    start: date
    end: date | None


@dataclass(frozen=True, slots=True)
class Use:
    """Use over a span: km, its standard deviation, the days for which nothing is known, and how it is known."""

    km: float
    sd: float
    days: int
    days_unknown: int
    known: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeeklyUse:
    """Distance a week as a lognormal: median, spread of its logarithm, and from what it was taken."""

    median_km: float
    log_sd: float
    words: str
