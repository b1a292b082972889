"""What a wear rule shows, read out of a forecast that was kept as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

from pinchbolt.drawing.graduation import day_words
from pinchbolt.errors import InputRefused
from pinchbolt.values.about import about

_LEFT, _RIGHT, _FAR = -0.05, 1.13, 1.6
_UNITS = {"km": "km", "h": "hours", "days": "days"}


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
    days: tuple[str | None, str | None, str | None]
    past: float

    def share(self, value: float) -> float:
        """Return where *value* lies from new (0) to limit (1)."""
        return (value - self.new) / (self.limit - self.new)

    @property
    def is_past(self) -> bool:
        """Whether it is more likely past its limit than not."""
        return self.past > 0.5

    @property
    def edges(self) -> tuple[float, float]:
        """Left and right edge of the rule as shares: just before new, and past the limit as far as it is worn."""
        spots = [self.share(v) for v in (self.wide.low, self.wide.high, *(self.sure or ())) if abs(v) != inf]
        return min(_LEFT, max(-0.25, min(spots) - 0.02)), min(_FAR, max(_RIGHT, max(spots) + 0.05))


def wear_facts(forecast: Mapping[str, Any]) -> WearFacts:
    """Return the figures of a forecast that the wear engine gave and a finding kept.

    Raises:
        InputRefused: A figure is missing, or new and limit are the same.
    """
    try:
        law, days, reading = forecast["law"], forecast["day_at_limit"], forecast.get("reading")
        found = WearFacts(
            new=float(law["new"]),
            warn=float(law["warn"]),
            limit=float(law["limit"]),
            unit={"percent": "%"}.get(law["unit"], str(law["unit"])),
            use=_UNITS[law["driver"]],
            # There is no lining, tread or air below nothing.
            wide=_ends(forecast["present"], "wide", 0.0),
            half=_ends(forecast["present"], "half", 0.0),
            shown=_pair(reading, "low", "high") if reading else None,
            sure=_pair(reading, "sure_low", "sure_high") if reading else None,
            to_limit=_ends(forecast["to_limit"], "wide"),
            days=(days["wide"][0], days["median"], days["wide"][1]),
            past=float(forecast["chance_past_limit"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise InputRefused(
            f"The forecast can't be drawn: {error} is missing in it. Take the reading again."
        ) from error
    if found.new == found.limit:
        raise InputRefused(
            f"{law.get('part', 'part')}: new and limit are both {found.limit:g} {found.unit}, so there is no rule "
            "between them. Correct the limit row."
        )
    return found


def _ends(spread: Mapping[str, Any], which: str, least: float = -inf) -> Ends:
    low, high = _pair(spread[which], "low", "high")
    middle = inf if spread["median"] is None else float(spread["median"])
    return Ends(max(low, least), max(middle, least), max(high, least))


def _pair(ends: Mapping[str, Any], low: str, high: str) -> tuple[float, float]:
    """Two ends; what is kept as nothing is open."""
    return (-inf if ends[low] is None else float(ends[low])), (
        inf if ends[high] is None else float(ends[high])
    )


def read_words(facts: WearFacts) -> str:
    """What the instrument showed, in a line."""
    if facts.shown is None or facts.sure is None:
        return ""
    low, high = facts.shown
    if low == high:
        spread = (
            ""
            if facts.sure[0] == facts.sure[1]
            else f" (8 in 10: {facts.sure[0]:.3g} to {facts.sure[1]:.3g})"
        )
        return f"read {low:.3g} {facts.unit}{spread}"
    if low == -inf:
        return f"read below {high:.3g} {facts.unit}"
    if high == inf:
        return f"read {low:.3g} {facts.unit} or more"
    return f"read between {low:.3g} and {high:.3g} {facts.unit}"


def now_words(facts: WearFacts) -> str:
    """What is believed now, in a line."""
    if facts.wide.low == facts.wide.high:
        return f"now {facts.wide.middle:.3g} {facts.unit}"
    spread = f"8 in 10: {facts.wide.low:.3g} to {facts.wide.high:.3g}"
    return f"now most likely {facts.wide.middle:.3g} {facts.unit} ({spread})"


def ahead_words(facts: WearFacts) -> str:
    """What lies ahead, in a line: use and day at the limit, or how far past it."""
    left = facts.to_limit
    if facts.is_past:
        sure = "over 99 %" if facts.past > 0.99 else f"{facts.past:.0%}"
        since = f", for about {about(-left.middle)} {facts.use}" if -inf < left.middle < 0 else ""
        return f"past its limit of {facts.limit:.3g} {facts.unit} already ({sure} sure){since}"
    if left.low == left.high:
        return f"limit in {about(left.middle)} {facts.use}, on {day_words(facts.days[1])}"
    least = about(left.low)
    end = f"{least} to {about(left.high)}" if left.high < inf else f"{least} or more"
    first, middle, last = facts.days
    to = day_words(last) if last else "later than ten years ahead"
    when = f"about {day_words(middle)}" if middle else "not within ten years"
    days = f" (8 in 10: {day_words(first)} to {to})" if first else ""
    return f"limit in about {about(left.middle)} {facts.use} (8 in 10: {end}), {when}{days}"
