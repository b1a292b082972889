"""Forecasts written out by hand and drawn at random: all that a drawing takes of one, and no more."""

from dataclasses import dataclass
from datetime import date

from hypothesis import strategies as st

from pinchbolt.values import DaySpread, Interval, Spread

Five = tuple[float, float, float, float, float]
DAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Law:
    """Marks of a part."""

    part: str
    new: float
    warn: float
    limit: float
    unit: str
    driver: str
    danger: float | None = None


@dataclass(frozen=True)
class Read:
    """Ends of what was shown, and of what it means."""

    low: float | None
    high: float | None
    sure_low: float | None
    sure_high: float | None


@dataclass(frozen=True)
class Drawn:
    """A forecast."""

    law: Law
    day: date
    present: Spread
    to_limit: Spread
    day_at_limit: DaySpread
    chance_past_limit: float
    reading: Read | None
    chance_past_danger: float = 0.0
    to_danger: Spread | None = None


def forecast(
    new: float = 0.0, warn: float = 0.5, limit: float = 0.75, unit: str = "percent", driver: str = "km",
    now: Five = (0.5, 0.54, 0.58, 0.62, 0.66),
    left: Five = (310.0, 500.0, 640.0, 800.0, 1010.0),
    days: tuple[str | None, str | None, str | None] = ("2026-12-20", "2027-02-14", "2027-04-09"),
    past: float = 0.02, reading: tuple[float | None, float | None, float | None, float | None] | None = None,
    danger: float | None = None, to_danger: Five | None = None, past_danger: float = 0.0,
) -> Drawn:  # fmt: skip
    """A forecast; spreads as (8 in 10 low, half low, median, half high, 8 in 10 high), reading as (low, high, sure ends)."""
    first, likely, last = (date.fromisoformat(day) if day else None for day in days)
    return Drawn(
        Law("chain", new, warn, limit, unit, driver, danger),
        DAY,
        _spread(now),
        _spread(left),
        DaySpread(likely, (first, last), (first, last)),
        past,
        Read(*reading) if reading else None,
        past_danger,
        _spread(to_danger) if to_danger else None,
    )


def _spread(ends: Five) -> Spread:
    low, half_low, median, half_high, high = ends
    return Spread(median, Interval(half_low, half_high), Interval(low, high))


@st.composite
def any_forecast(draw: st.DrawFn) -> Drawn:
    """Any part, either way round, fresh or long past, with any kind of reading."""
    new = draw(st.sampled_from([0.0, 0.03, 1.8, 4.0, 100.0, 304.8]))
    span = draw(st.floats(0.1, 400.0)) * draw(st.sampled_from([1, -1]))
    limit, warn = new + span, new + span * draw(st.floats(0.0, 1.0))
    shares = _five(draw(st.lists(st.floats(-0.2, 3.0), min_size=5, max_size=5)))
    now = _five([new + span * share for share in shares])
    left = _five(draw(st.lists(st.floats(-9000.0, 90000.0), min_size=5, max_size=5)))
    ends = draw(st.sampled_from(["none", "value", "between", "below", "above"]))
    a, b = sorted((new + span * draw(st.floats(0.0, 2.0)), new + span * draw(st.floats(0.0, 2.0))))
    reading = {
        "none": None,
        "value": (a, a, a - abs(span) / 20, a + abs(span) / 20),
        "between": (a, b, a - abs(span) / 20, b + abs(span) / 20),
        "below": (None, b, None, b + abs(span) / 20),
        "above": (a, None, a - abs(span) / 20, None),
    }[ends]
    beyond = draw(st.none() | st.floats(1.02, 2.5))
    return forecast(
        new, warn, limit, draw(st.sampled_from(["percent", "mm", "months", "mm at the rim"])),
        draw(st.sampled_from(["km", "h", "days"])), now, left, past=draw(st.floats(0.0, 1.0)), reading=reading,
        danger=None if beyond is None else new + span * beyond, to_danger=None if beyond is None else left,
        past_danger=draw(st.floats(0.0, 1.0)),
    )  # fmt: skip


def _five(values: list[float] | Five) -> Five:
    low, half_low, median, half_high, high = sorted(values)
    return low, half_low, median, half_high, high
