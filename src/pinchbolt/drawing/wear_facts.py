"""What a wear rule and a life line show, read out of a forecast."""

from dataclasses import dataclass
from datetime import date
from math import inf

from pinchbolt.drawing.drawn_forecast import DrawnForecast
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.about import about, shown_words, unit_words, worn
from pinchbolt.values.ahead import (
    about_day,
    chance_words,
    danger_words,
    day_words,
    days_between,
    is_past,
    likely_words,
    use_words,
)
from pinchbolt.values.wording import worded

_LEFT, _RIGHT, _FAR, _FARTHEST = -0.05, 1.13, 1.6, 1.8


@dataclass(frozen=True, slots=True)
class Ends:
    """Two ends and what lies in their middle, in the part's own unit or that of use; an open end is infinite."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class WearFacts:
    """Figures of one rule. `share` gives a value its place from new (0) to limit (1), whichever way the part reads."""

    new: float
    warn: float
    limit: float
    unit: str
    use: str
    wide: Ends
    half: Ends
    shown: tuple[float, float] | None
    sure: tuple[float, float] | None
    to_limit: Ends
    days: tuple[date | None, date | None, date | None]
    past: float
    danger: float | None = None
    danger_said: str = ""

    def share(self, value: float) -> float:
        """Return where *value* lies from new (0) to limit (1)."""
        return (value - self.new) / (self.limit - self.new)

    @property
    def is_past(self) -> bool:
        """Whether it is more likely past its limit than not."""
        return is_past(self.past)

    @property
    def edges(self) -> tuple[float, float]:
        """Left and right edge of the rule as shares: just before new, and past the limit as far as it is worn or unsafe."""
        spots = [self.share(v) for v in (self.wide.low, self.wide.high, *(self.sure or ())) if abs(v) != inf]
        left, right = min(_LEFT, max(-0.25, min(spots) - 0.02)), min(_FAR, max(_RIGHT, max(spots) + 0.05))
        return left, right if self.danger is None else max(
            right, min(_FARTHEST, self.share(self.danger) + 0.05)
        )


def wear_facts(forecast: DrawnForecast) -> WearFacts:
    """Return the figures of a forecast.

    Raises:
        InputRefused: New and limit are the same.
    """
    law, days, reading = forecast.law, forecast.day_at_limit, forecast.reading
    found = WearFacts(
        new=law.new,
        warn=law.warn,
        limit=law.limit,
        unit=unit_words(law.unit),
        use=use_words(law.driver),
        # There is no lining, tread or air below nothing.
        wide=_ends(forecast.present.wide, forecast.present.median, 0.0),
        half=_ends(forecast.present.half, forecast.present.median, 0.0),
        shown=_pair(reading.low, reading.high) if reading else None,
        sure=_pair(reading.sure_low, reading.sure_high) if reading else None,
        to_limit=_ends(forecast.to_limit.wide, forecast.to_limit.median),
        days=(days.wide[0], days.median, days.wide[1]),
        past=forecast.chance_past_limit,
        danger=law.danger if forecast.to_danger is not None else None,
        danger_said=_danger_said(forecast),
    )
    if found.new == found.limit:
        raise InputRefused(
            worded(
                "{part}: new and limit are both {limit:g} {unit}, so there is no rule between them. "
                "Correct the limit row.",
                part=law.part,
                limit=found.limit,
                unit=found.unit,
            )
        )
    return found


def _danger_said(forecast: DrawnForecast) -> str:
    """Where it is no longer ridden; "" where no such figure is known."""
    law, left = forecast.law, forecast.to_danger
    if law.danger is None or left is None:
        return ""
    unit = unit_words(law.unit)
    return danger_words(law.danger, unit, forecast.chance_past_danger, left.median, law.driver)


def _ends(ends: Interval, middle: float, least: float = -inf) -> Ends:
    return Ends(max(ends.low, least), max(middle, least), max(ends.high, least))


def _pair(low: float | None, high: float | None) -> tuple[float, float]:
    """Two ends; what is kept as nothing is open."""
    return -inf if low is None else low, inf if high is None else high


def read_words(facts: WearFacts) -> str:
    """What the instrument showed, in a line."""
    if facts.shown is None or facts.sure is None:
        return ""
    (low, high), (least, most) = facts.shown, facts.sure
    spread = (
        worded(" (likely {least:.3g} to {most:.3g})", least=least, most=most)
        if low == high and least != most
        else ""
    )
    return worded("read {low}{spread}", low=shown_words(low, high, facts.unit), spread=spread)


def now_words(facts: WearFacts) -> str:
    """What is believed now, in a line."""
    if facts.wide.low == facts.wide.high:
        return worded("now {middle:.3g} {unit}", middle=facts.wide.middle, unit=facts.unit)
    spread = worded("likely {low} to {high}", low=worn(facts.wide.low), high=worn(facts.wide.high))
    return worded(
        "now about {middle} {unit} ({spread})", middle=worn(facts.wide.middle), unit=facts.unit, spread=spread
    )


def ahead_words(facts: WearFacts) -> str:
    """What lies ahead, in a line: use and day at the limit, or how far past it."""
    words = _to_limit_words(facts)
    return f"{words}; {facts.danger_said}" if facts.danger_said and facts.is_past else words


def _to_limit_words(facts: WearFacts) -> str:
    left = facts.to_limit
    if facts.is_past:
        since = (
            worded(", for about {middle} {use}", middle=about(-left.middle), use=facts.use)
            if -inf < left.middle < 0
            else ""
        )
        return f"{chance_words(facts.past, worded('past its limit of {limit:.3g} {unit}', limit=facts.limit, unit=facts.unit))}{since}"
    if left.low == left.high:
        return worded(
            "limit in about {middle} {use}, on {days}",
            middle=about(left.middle),
            use=facts.use,
            days=day_words(facts.days[1]),
        )
    first, middle, last = facts.days
    between = days_between(first, last)
    days = worded(" (likely {between})", between=between) if between else ""
    end = likely_words(left.low, left.high)
    return worded(
        "limit in about {middle} {use} ({end}), {about_day}{days}",
        middle=about(left.middle),
        use=facts.use,
        end=end,
        about_day=about_day(middle),
        days=days,
    )
