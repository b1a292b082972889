"""The forecast as a finding keeps it: the wear engine's answer of that day, what was read, and odds for the part on record."""

from dataclasses import dataclass, fields
from functools import lru_cache

from pinchbolt.engines.wear import Forecast, SamePart
from pinchbolt.values import Reason
from pinchbolt.values.ahead import is_past
from pinchbolt.workshop.common.from_plain import from_plain

VERSION = 2
"""Shape of what is written today. 1 is all that was written before shapes were numbered: reading, odds for the part on
record, belief and some figures of the law came one after the other, and may be missing."""


@dataclass(frozen=True, slots=True)
class ReadingKept:
    """Ends of what was shown, and as they are by this reading alone in 8 cases of 10. Law's unit; None is an open end."""

    low: float | None
    high: float | None
    sure_low: float | None
    sure_high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptForecast(Forecast):
    """The engine's forecast, never changed after its day; `same` is None where fewer than two readings were there."""

    reading: ReadingKept | None = None
    same: SamePart | None = None
    version: int = 1

    @property
    def is_past(self) -> bool:
        """Whether the part is more likely past its limit than not."""
        return is_past(self.chance_past_limit)

    @property
    def shows_limit(self) -> bool:
        """Whether the gauge itself showed the limit, or more, whatever its known error makes of that."""
        shown = self.reading
        if shown is None:
            return False
        if self.law.direction == "up":
            return shown.low is not None and shown.low >= self.law.limit
        return shown.high is not None and shown.high <= self.law.limit


def keep(forecast: Forecast, reading: ReadingKept, same: SamePart | None) -> KeptForecast:
    """Return a forecast of today in the shape in which a finding keeps it: `as_json` writes it down."""
    of_engine = {field.name: getattr(forecast, field.name) for field in fields(Forecast)}
    return KeptForecast(**of_engine, reading=reading, same=same, version=VERSION)


@lru_cache(256)
def _read_last(finding: int) -> list[tuple[object, KeptForecast]]:
    """A finding is read again on each page of its job: the place where its record and what it was read as are kept."""
    return []


def kept_forecast(told: object, finding: int | None = None) -> KeptForecast | None:
    """Return a forecast from the record, in whatever shape it was written; None where none was kept.

    Read anew where the record of that *finding* is not the very same as last time.

    Raises:
        ValueError: Something without which there is no forecast is missing or of another kind; the words name it.
    """
    if told is None:
        return None
    if finding is None:
        return from_plain(KeptForecast, told)
    last = _read_last(finding)
    for record, as_read in last:
        if record == told:
            return as_read
    found = from_plain(KeptForecast, told)
    last[:] = [(told, found)]
    return found


def kept_reasons(told: object) -> tuple[Reason, ...]:
    """Return the reasons of a finding from the record."""
    return from_plain(tuple[Reason, ...], told)
