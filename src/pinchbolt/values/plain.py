"""Interval, spread, reason and verdict."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import inf, isnan

from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class Interval:
    """Closed interval; an open end is infinite. Unit: that of what it holds."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if isnan(self.low) or isnan(self.high) or self.low > self.high:
            raise ValueError(
                worded(
                    "interval {low} to {high}: the low end must not be above the high end",
                    low=self.low,
                    high=self.high,
                )
            )

    @property
    def is_value(self) -> bool:
        """True where both ends are one number."""
        return self.low == self.high

    @property
    def is_open(self) -> bool:
        """True where an end is infinite."""
        return self.low == -inf or self.high == inf


@dataclass(frozen=True, slots=True)
class Spread:
    """What is believed about a quantity: median, 50 % and 80 % interval. Unit: that of the quantity."""

    median: float
    half: Interval
    wide: Interval


@dataclass(frozen=True, slots=True)
class DaySpread:
    """A `Spread` of calendar days. None stands for 'not within ten years'."""

    median: date | None
    half: tuple[date | None, date | None]
    wide: tuple[date | None, date | None]


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of a 'why': words for people, the table row it used and that row's source."""

    words: str
    row: str = ""
    source: str = ""

    @property
    def origin(self) -> str:
        """Where it comes from: the source, the table row in brackets behind it."""
        row = f"({self.row})" if self.row and self.source else self.row
        return f"{self.source} {row}".strip()


class Verdict(StrEnum):
    """Five words, from best to worst; the word itself is what is shown and stored."""

    SOUND = "sound"
    WATCH = "keep an eye on it"
    NEXT_VISIT = "next visit"
    BEFORE_IT_LEAVES = "before it leaves"
    UNSAFE = "unsafe to ride"

    @property
    def rank(self) -> int:
        """0 for sound to 4 for unsafe to ride."""
        return list(Verdict).index(self)
